//! Colours, letters and patterns: one place for papers and desk.
//!
//! An option shows by three things at once, so that it survives a grey copier and any colour vision:
//! a letter code, a tone that grows darker with the weight of the act, and a pattern for each added act.

mod tokens;

use std::fmt::Write as _;

pub use tokens::{TOKENS, Theme, declarations};

use crownhold::tactics::Bundle;
use crownhold::timing::WindowKind;
use crownhold::types::Tactic;

/// The inks of a page, as SVG paint values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Inks {
    /// Page.
    pub paper: &'static str,
    /// Text and main lines.
    pub ink: &'static str,
    /// Secondary text; still 4.5 : 1 on paper.
    pub soft: &'static str,
    /// Number ids: lighter than secondary text, still 4.5 : 1 on paper.
    pub faint: &'static str,
    /// Hairlines and grids.
    pub rule: &'static str,
    /// Ground of every second month.
    pub stripe: &'static str,
    /// Headings and bars.
    pub accent: &'static str,
    /// Pale companion of the accent.
    pub accent_pale: &'static str,
    /// No-spray areas and cautions.
    pub guard: &'static str,
    /// Ground of caution boxes.
    pub guard_pale: &'static str,
    /// Life stages in order: egg, instars 1 to 3, instars 4 to 6, pupa, adult. Text on them has the colour of the paper;
    /// eggs, which rest most of the year, are filled at [`EGG_OPACITY`] and outlined, with text in ink.
    pub stages: [&'static str; 5],
    /// Working windows in the order of `WindowKind`: scraping, ground Btk, aerial Btk, bands, survey.
    pub windows: [&'static str; 5],
    /// Typeface, an SVG `font-family`.
    pub font: &'static str,
}

/// How much of their tone the eggs' areas are filled with.
pub const EGG_OPACITY: f64 = 0.3;

/// Light paper.
pub const LIGHT: Inks = Inks {
    paper: "#ffffff",
    ink: "#1c2429",
    soft: "#556067",
    faint: "#6b767d",
    rule: "#c9cfd2",
    stripe: "#f5f6f6",
    accent: "#24506b",
    accent_pale: "#bcd3df",
    guard: "#8a3b12",
    guard_pale: "#f8eee6",
    stages: ["#a98b45", "#577f36", "#2a674b", "#673018", "#2f2548"],
    windows: ["#8f6f1c", "#2d7d74", "#3f6f9f", "#4f7684", "#6c5b78"],
    // Papers have only the first; a browser falls back to the others.
    font: "Libertinus Serif, Georgia, serif",
};

/// The desk: every ink is a CSS custom property, so that a drawing follows the theme of the page it stands in.
/// Values: [`TOKENS`].
pub const SCREEN: Inks = Inks {
    paper: "var(--paper)",
    ink: "var(--ink)",
    soft: "var(--soft)",
    faint: "var(--faint)",
    rule: "var(--rule)",
    stripe: "var(--stripe)",
    accent: "var(--accent)",
    accent_pale: "var(--accent-pale)",
    guard: "var(--guard)",
    guard_pale: "var(--guard-pale)",
    stages: ["var(--stage-egg)", "var(--stage-early)", "var(--stage-late)", "var(--stage-pupa)", "var(--stage-adult)"],
    windows: ["var(--win-scraping)", "var(--win-ground)", "var(--win-aerial)", "var(--win-bands)", "var(--win-survey)"],
    font: "inherit",
};

impl Inks {
    /// The ink of a working window.
    pub fn window(&self, kind: WindowKind) -> &'static str {
        self.windows[kind as usize]
    }

    /// Every colour of the page.
    #[cfg(test)]
    fn colours(&self) -> Vec<&'static str> {
        let mut all = vec![
            self.paper,
            self.ink,
            self.soft,
            self.faint,
            self.rule,
            self.stripe,
            self.accent,
            self.accent_pale,
            self.guard,
            self.guard_pale,
        ];
        all.extend(self.stages);
        all.extend(self.windows);
        all
    }
}

/// How one option is drawn.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OptionStyle {
    /// Letters: W watch, S scraping, B bands, G ground Btk, A1 and A2 aerial Btk; joined by "+", heaviest first.
    pub code: String,
    /// Tone of the heaviest act.
    pub fill: &'static str,
    /// Text on that tone.
    pub ink: &'static str,
    /// Acts drawn as a pattern over the tone.
    pub marks: Vec<Tactic>,
}

/// Letter, tone and text colour of an act.
fn tone(tactic: Option<Tactic>) -> (&'static str, &'static str, &'static str) {
    const DARK: &str = "#1c2429";
    const WHITE: &str = "#ffffff";
    match tactic {
        None => ("W", "#f7f5ef", DARK),
        Some(Tactic::Scraping) => ("S", "#ecd99b", DARK),
        Some(Tactic::Bands) => ("B", "#b4cfd9", DARK),
        Some(Tactic::GroundBtk) => ("G", "#6faea6", DARK),
        Some(Tactic::AerialOnce) => ("A1", "#3f6f9f", WHITE),
        Some(Tactic::AerialTwice) => ("A2", "#3a2456", WHITE),
    }
}

/// Acts that have a pattern; those from the air are told by tone and letter.
fn has_pattern(tactic: Tactic) -> bool {
    !tactic.is_aerial()
}

impl OptionStyle {
    /// The style of a bundle.
    pub fn of(bundle: &Bundle) -> Self {
        let heaviest_first = || bundle.tactics().iter().rev().copied();
        let (watch_code, fill, ink) = tone(heaviest_first().next());
        let letters: Vec<&str> = heaviest_first().map(|t| tone(Some(t)).0).collect();
        let code = if letters.is_empty() { watch_code.to_owned() } else { letters.join("+") };
        Self { code, fill, ink, marks: heaviest_first().filter(|t| has_pattern(*t)).collect() }
    }

    /// A name for the pattern of one act on this tone, unique within a drawing.
    pub(crate) fn pattern_id(&self, prefix: &str, tactic: Tactic) -> String {
        format!("{prefix}-{}-{}", tone(Some(tactic)).0, self.ink.trim_start_matches('#'))
    }

    /// The SVG definitions of this style's patterns.
    pub(crate) fn pattern_definitions(&self, prefix: &str) -> Vec<String> {
        self.marks.iter().map(|t| pattern(&self.pattern_id(prefix, *t), *t, self.ink)).collect()
    }
}

/// One pattern tile: slanted lines for scraping, level lines for bands, dots for ground Btk.
fn pattern(id: &str, tactic: Tactic, ink: &str) -> String {
    let (tile, mark) = match tactic {
        Tactic::Scraping => {
            (8, format!("<path d=\"M-2,2 l4,-4 M0,8 l8,-8 M6,10 l4,-4\" stroke=\"{ink}\" stroke-width=\"1\"/>"))
        }
        Tactic::Bands => (7, format!("<path d=\"M0,3.5 h7\" stroke=\"{ink}\" stroke-width=\"1\"/>")),
        _ => (8, format!("<circle cx=\"4\" cy=\"4\" r=\"1.3\" fill=\"{ink}\"/>")),
    };
    format!("<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"{tile}\" height=\"{tile}\">{mark}</pattern>")
}

/// The cross-hatch of no-spray areas: a light line under a dark one, so that it shows on every tone.
pub(crate) fn no_spray_pattern(inks: &Inks, id: &str) -> String {
    let mut svg = String::new();
    let _ = write!(svg, "<pattern id=\"{id}\" patternUnits=\"userSpaceOnUse\" width=\"10\" height=\"10\">");
    for (width, ink) in [("2.6", inks.paper), ("1.1", inks.guard)] {
        let _ = write!(svg, "<path d=\"M0,0 L10,10 M10,0 L0,10\" stroke=\"{ink}\" stroke-width=\"{width}\"/>");
    }
    svg.push_str("</pattern>");
    svg
}

/// How colours are measured.
#[cfg(test)]
mod measure {
    #![allow(clippy::unwrap_used)]

    /// Linear red, green and blue, 0 to 1: WCAG 2.1, definition of relative luminance.
    fn linear(hex: &str) -> [f64; 3] {
        [1, 3, 5].map(|i| {
            let v = f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap()) / 255.0;
            if v <= 0.039_28 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        })
    }
    fn luminance(hex: &str) -> f64 {
        let [r, g, b] = linear(hex);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }
    /// Contrast ratio: WCAG 2.1, definitions.
    pub fn contrast(a: &str, b: &str) -> f64 {
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }
    /// One colour over another.
    pub fn over(top: &str, share: f64, ground: &str) -> String {
        let part = |hex: &str, i: usize| f64::from(u8::from_str_radix(&hex[i..i + 2], 16).unwrap());
        let mixed = |i| format!("{:02x}", (share * part(top, i) + (1.0 - share) * part(ground, i)).round() as u8);
        format!("#{}{}{}", mixed(1), mixed(3), mixed(5))
    }
    /// CIE lightness L*, 0 to 100, above its linear foot.
    pub fn lightness(hex: &str) -> f64 {
        116.0 * luminance(hex).cbrt() - 16.0
    }
    /// As a deuteranope sees it: Machado, Oliveira & Fernandes 2009, deuteranomaly at full severity, on linear values.
    pub fn to_deuteranope(hex: &str) -> String {
        const SEEN: [[f64; 3]; 3] =
            [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
        let rgb = linear(hex);
        let part = |row: [f64; 3]| {
            let v: f64 = row.iter().zip(rgb).map(|(m, c)| m * c).sum::<f64>().clamp(0.0, 1.0);
            let v = if v <= 0.003_130_8 { 12.92 * v } else { 1.055 * v.powf(1.0 / 2.4) - 0.055 };
            format!("{:02x}", (v * 255.0).round() as u8)
        };
        format!("#{}", SEEN.map(part).concat())
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::measure::{contrast, lightness};
    use super::*;

    /// WCAG 2.1, 1.4.3: text needs 4.5 : 1.
    #[test]
    fn texts_stand_out() {
        let light = LIGHT;
        for ink in [light.ink, light.soft, light.faint, light.accent, light.guard] {
            assert!(contrast(ink, light.paper) >= 4.5, "{ink} on paper");
        }
        assert!(contrast(light.guard, light.guard_pale) >= 4.5);
        for tactic in std::iter::once(None).chain(Tactic::ALL.iter().copied().map(Some)) {
            let (code, fill, ink) = tone(tactic);
            assert!(contrast(ink, fill) >= 4.5, "{code}");
        }
    }

    /// In grey, each heavier act is darker, by 5 of the 100 steps of CIE lightness (L*) at least; letters and
    /// patterns tell apart what lies near.
    #[test]
    fn tones_darken_with_the_act() {
        let tones: Vec<f64> = std::iter::once(None)
            .chain(
                [Tactic::Scraping, Tactic::Bands, Tactic::GroundBtk, Tactic::AerialOnce, Tactic::AerialTwice].map(Some),
            )
            .map(|t| lightness(tone(t).1))
            .collect();
        for pair in tones.windows(2) {
            assert!(pair[0] - pair[1] >= 5.0, "{tones:?}");
        }
        assert!(tones[0] - tones[5] > 60.0);
    }

    #[test]
    fn codes_name_the_heaviest_act_first() {
        let style = |key: &str| OptionStyle::of(&Bundle::from_key(key).unwrap());
        assert_eq!(style("watch").code, "W");
        assert_eq!(style("scraping + bands").code, "B+S");
        let both = style("scraping + aerial Btk twice");
        assert_eq!((both.code.as_str(), both.marks.as_slice()), ("A2+S", [Tactic::Scraping].as_slice()));
    }
}
