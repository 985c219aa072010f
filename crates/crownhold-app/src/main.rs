//! The `crownhold` command: parse, run, exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    crownhold_app::cli::run()
}
