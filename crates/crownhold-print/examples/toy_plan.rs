//! Writes the season plan of a small invented town, or with a second argument that of a grid of 180 blocks:
//! `cargo run -p crownhold-print --example toy_plan -- OUT.pdf [large]`

#[allow(clippy::unwrap_used)]
#[path = "../tests/it/town.rs"]
mod town;

use std::process::ExitCode;

fn main() -> ExitCode {
    let Some(path) = std::env::args().nth(1) else {
        eprintln!("usage: toy_plan OUT.pdf [large]");
        return ExitCode::FAILURE;
    };
    let large = std::env::args().nth(2).is_some();
    let town = if large { town::Town::grid(15, 12) } else { town::Town::small() };
    let written = crownhold_print::season_plan(&town.inputs(), town::ISSUED)
        .map_err(|e| e.to_string())
        .and_then(|pdf| std::fs::write(&path, pdf).map_err(|e| format!("{path}: {e}")));
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{why}");
            ExitCode::FAILURE
        }
    }
}
