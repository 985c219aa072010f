//! The legend of the option map: one swatch per option in use.

use std::collections::BTreeMap;

use super::{MapBlock, no_spray_id};
use crate::numbers::weight;
use crate::palette::OptionStyle;
use crate::sheet::Sheet;
use crate::svg::{Anchor, Svg, TextStyle, fit_text};
use crate::wording::count;

/// An option in use.
pub struct Class {
    pub style: OptionStyle,
    name: String,
    blocks: usize,
}

const COLUMNS: usize = 2;
const ROW: f64 = 34.0;
const TOP: f64 = 24.0;

/// The options in use, heaviest first.
pub fn classes(blocks: &[MapBlock<'_>]) -> Vec<Class> {
    let mut found: BTreeMap<u32, Class> = BTreeMap::new();
    for b in blocks {
        let fresh = || Class { style: OptionStyle::of(b.bundle), name: b.bundle.key(), blocks: 0 };
        found.entry(weight(b.bundle)).or_insert_with(fresh).blocks += 1;
    }
    found.into_values().rev().collect()
}

/// Height it takes.
pub fn height(classes: &[Class], no_spray: bool) -> f64 {
    TOP + ROW * (classes.len() + usize::from(no_spray)).div_ceil(COLUMNS) as f64
}

/// Draws it, its top at `top`.
pub fn draw(svg: &mut Svg, classes: &[Class], no_spray: bool, top: f64, sheet: &Sheet<'_>) {
    let inks = sheet.inks;
    svg.line((16.0, top + 8.0), (984.0, top + 8.0), inks.rule, 1.0, "");
    let rows = (classes.len() + usize::from(no_spray)).div_ceil(COLUMNS);
    let cell = |i: usize| (16.0 + 490.0 * (i / rows) as f64, top + TOP + ROW * (i % rows) as f64);
    let label = TextStyle::new(17.0, inks.ink);
    for (i, class) in classes.iter().enumerate() {
        let at = cell(i);
        swatch(svg, &class.style, at, sheet);
        let text = format!("{} – {}", class.name, count(class.blocks, "block", "blocks"));
        svg.text((at.0 + 90.0, at.1 + 18.0), label, &fit_text(&text, 17.0, 390.0));
    }
    if no_spray {
        let at = cell(classes.len());
        svg.rect(at, SWATCH, &format!("fill=\"{}\"", inks.paper));
        svg.rect(
            at,
            SWATCH,
            &format!(
                "fill=\"url(#{})\" stroke=\"{}\" stroke-width=\"1.6\" stroke-dasharray=\"5 2.5\"",
                no_spray_id(sheet),
                inks.guard
            ),
        );
        svg.text((at.0 + 90.0, at.1 + 18.0), label, "no-spray area (drawn without its buffer)");
    }
}

const SWATCH: (f64, f64) = (78.0, 25.0);

fn swatch(svg: &mut Svg, style: &OptionStyle, at: (f64, f64), sheet: &Sheet<'_>) {
    svg.rect(at, SWATCH, &format!("fill=\"{}\"", style.fill));
    for mark in &style.marks {
        svg.rect(at, SWATCH, &format!("fill=\"url(#{})\"", style.pattern_id(sheet.id, *mark)));
    }
    svg.rect(at, SWATCH, &format!("fill=\"none\" stroke=\"{}\" stroke-width=\"1\"", sheet.inks.ink));
    let width = crate::svg::text_width(&style.code, 15.0) + 6.0;
    let middle = at.0 + SWATCH.0 / 2.0;
    svg.rect((middle - width / 2.0, at.1 + 4.0), (width, 17.0), &format!("rx=\"2\" fill=\"{}\"", style.fill));
    svg.text((middle, at.1 + 17.5), TextStyle::new(15.0, style.ink).anchor(Anchor::Middle), &style.code);
}
