//! Builds `web/` into OUT_DIR with the bundler in `web/node_modules`; without it, a stub. Never uses the network.
//! Then writes the table of what came out, for the crate to include.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs, io};

/// The names of the manifest, for the stub; a test of the crate holds the true bundle to the same list.
const NAMES: &str = include_str!("names.txt");
/// What the bundle is made from, below `web/`.
const SOURCES: [&str; 7] =
    ["src", "styles", "public", "build.mjs", "icons.json", "package-lock.json", "node_modules/.package-lock.json"];

fn main() -> io::Result<()> {
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets OUT_DIR")).join("web");
    let manifest = PathBuf::from(env::var_os("CARGO_MANIFEST_DIR").expect("cargo sets CARGO_MANIFEST_DIR"));
    let web = manifest.join("../../web");
    println!("cargo:rerun-if-env-changed=CROWNHOLD_UI");
    println!("cargo:rerun-if-changed=build.rs");
    println!("cargo:rerun-if-changed=names.txt");
    // Only what is there: a path that is not would run this script at every build.
    for path in SOURCES.iter().map(|s| web.join(s)).filter(|p| p.exists()) {
        println!("cargo:rerun-if-changed={}", path.display());
    }
    if env::var_os("CROWNHOLD_UI").is_some_and(|v| v == "stub") {
        stub(&out)?;
    } else if web.join("node_modules/esbuild").exists() {
        bundle(&web, &out)?;
    } else {
        println!("cargo:warning=The desk is built as a stub: web/node_modules is missing. Run `make setup` first.");
        stub(&out)?;
    }
    table(&out)
}

fn bundle(web: &Path, out: &Path) -> io::Result<()> {
    let done = Command::new("node").arg("build.mjs").arg(out).current_dir(web).status()?;
    if done.success() { Ok(()) } else { Err(io::Error::other("web/build.mjs failed; its messages stand above")) }
}

/// Empty files under the same names, so that the server can be built and tested without the bundle.
fn stub(out: &Path) -> io::Result<()> {
    if out.exists() {
        fs::remove_dir_all(out)?;
    }
    fs::create_dir_all(out)?;
    let mut pairs = Vec::new();
    for name in NAMES.lines() {
        let (stem, extension) = name.rsplit_once('.').expect("every name of names.txt has an extension");
        let file = format!("{stem}-stub.{extension}");
        fs::write(out.join(&file), "")?;
        pairs.push(format!("\"{name}\": \"{file}\""));
    }
    fs::write(out.join("stub"), "")?;
    fs::write(out.join("manifest.json"), format!("{{{}}}", pairs.join(", ")))
}

/// `files.rs` beside the folder: every file's name and bytes, in order of name.
fn table(out: &Path) -> io::Result<()> {
    let mut names: Vec<String> =
        fs::read_dir(out)?.map(|e| Ok(e?.file_name().to_string_lossy().into_owned())).collect::<io::Result<_>>()?;
    names.sort();
    let row = |name: &String| format!("({name:?}, include_bytes!({:?})),\n", out.join(name));
    let rows: String = names.iter().map(row).collect();
    fs::write(out.with_file_name("files.rs"), format!("&[\n{rows}]\n"))
}
