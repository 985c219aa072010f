//! Picks the fonts of the papers out of the font set, so that only these are linked.

use std::path::PathBuf;
use std::{env, fs, io};

/// PostScript name inside the font file, and the file the crate includes.
const FONTS: [(&str, &str); 5] = [
    ("LibertinusSerif-Regular", "regular.otf"),
    ("LibertinusSerif-Bold", "bold.otf"),
    ("LibertinusSerif-Italic", "italic.otf"),
    ("LibertinusSerif-BoldItalic", "bold-italic.otf"),
    ("DejaVuSansMono", "mono.ttf"),
];

fn main() -> io::Result<()> {
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets OUT_DIR"));
    for (name, file) in FONTS {
        let font = typst_assets::fonts()
            .find(|bytes| postscript_names(bytes).iter().any(|n| n == name))
            .ok_or_else(|| io::Error::other(format!("the font set has no {name}")))?;
        fs::write(out.join(file), font)?;
    }
    println!("cargo:rerun-if-changed=build.rs");
    Ok(())
}

/// The PostScript names (name id 6) in the `name` table of an OpenType font; empty if there is none.
/// Layout of the table: OpenType specification 1.9, chapter "name".
fn postscript_names(font: &[u8]) -> Vec<String> {
    let u16_at = |at: usize| font.get(at..at + 2).map_or(0, |b| usize::from(u16::from_be_bytes([b[0], b[1]])));
    let u32_at = |at: usize| (u16_at(at) << 16) | u16_at(at + 2);
    let record = (0..u16_at(4)).map(|i| 12 + 16 * i).find(|at| font.get(*at..at + 4) == Some(b"name"));
    let Some(table) = record.map(|at| u32_at(at + 8)) else { return Vec::new() };
    let strings = table + u16_at(table + 4);
    (0..u16_at(table + 2))
        .map(|i| table + 6 + 12 * i)
        .filter(|at| u16_at(at + 6) == 6)
        .filter_map(|at| font.get(strings + u16_at(at + 10)..strings + u16_at(at + 10) + u16_at(at + 8)))
        // Names are ASCII, in one byte or in two (UTF-16): the zero bytes say which.
        .map(|bytes| bytes.iter().filter(|b| **b != 0).map(|b| char::from(*b)).collect())
        .collect()
}
