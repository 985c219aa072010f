//! The desk's colours by name, in light and dark: the desk writes its style sheet from this table.
//!
//! Life stages darken through the year on light paper and also, from a lighter start, on dark paper, so that neighbours
//! are told apart without hue. Windows share their hue with the options of the same act; they are never told by
//! colour alone: each has a lane of its own with its name on it.

/// Name of the CSS custom property, value on light paper, value on dark paper.
pub const TOKENS: &[(&str, &str, &str)] = &[
    ("--paper", "#ffffff", "#14191c"),
    ("--ink", "#1c2429", "#e3e8e5"),
    ("--soft", "#556067", "#a7b1b2"),
    ("--faint", "#6b767d", "#8c979a"),
    ("--rule", "#c9cfd2", "#37424a"),
    ("--stripe", "#f5f6f6", "#191f23"),
    ("--accent", "#24506b", "#86b8d3"),
    ("--accent-pale", "#bcd3df", "#2a4557"),
    ("--guard", "#8a3b12", "#e59a6f"),
    ("--guard-pale", "#f8eee6", "#33251c"),
    ("--stage-egg", "#a98b45", "#f0e6c4"),
    ("--stage-early", "#577f36", "#bbd88d"),
    ("--stage-late", "#2a674b", "#7fc09c"),
    ("--stage-pupa", "#673018", "#c88258"),
    ("--stage-adult", "#2f2548", "#8b79b3"),
    ("--win-scraping", "#8f6f1c", "#d9bd6a"),
    ("--win-ground", "#2d7d74", "#6fbdb2"),
    ("--win-aerial", "#3f6f9f", "#7fafe0"),
    ("--win-bands", "#4f7684", "#a3c6d2"),
    ("--win-survey", "#6c5b78", "#b9a6c6"),
];

/// Which theme a value is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Theme {
    /// Light paper.
    Light,
    /// Dark paper.
    Dark,
}

/// The custom properties of a theme as CSS declarations, one a line.
pub fn declarations(theme: Theme) -> String {
    let value = |light: &'static str, dark: &'static str| if theme == Theme::Light { light } else { dark };
    TOKENS.iter().map(|(name, light, dark)| format!("{name}: {};\n", value(light, dark))).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::super::measure::{contrast, lightness, over, to_deuteranope};
    use super::super::{EGG_OPACITY, LIGHT, SCREEN};
    use super::*;

    fn of(name: &str) -> [&'static str; 2] {
        let (_, light, dark) = TOKENS.iter().find(|(token, ..)| *token == name).unwrap();
        [*light, *dark]
    }
    fn named(start: &str) -> Vec<[&'static str; 2]> {
        TOKENS.iter().filter(|(name, ..)| name.starts_with(start)).map(|(_, a, b)| [*a, *b]).collect()
    }

    /// WCAG 2.1, 1.4.3: text 4.5 : 1.
    #[test]
    fn texts_stand_out_in_both_themes() {
        let pairs = ["--ink", "--soft", "--faint", "--accent", "--guard"].map(|text| (text, "--paper"));
        let on = [("--guard", "--guard-pale"), ("--ink", "--guard-pale"), ("--ink", "--accent-pale")];
        let on_stages = ["early", "late", "pupa", "adult"].map(|stage| format!("--stage-{stage}"));
        let stages = on_stages.iter().map(|stage| ("--paper", stage.as_str()));
        for (text, ground) in pairs.into_iter().chain(on).chain([("--soft", "--stripe")]).chain(stages) {
            for (a, b) in of(text).into_iter().zip(of(ground)) {
                assert!(contrast(a, b) >= 4.5, "{text} {a} on {ground} {b}: {}", contrast(a, b));
            }
        }
    }

    /// Eggs are a pale area with an outline.
    #[test]
    fn ink_stands_out_on_the_eggs() {
        for theme in [0, 1] {
            let ground = over(of("--stage-egg")[theme], EGG_OPACITY, of("--paper")[theme]);
            assert!(contrast(of("--ink")[theme], &ground) >= 4.5, "{ground}");
        }
    }

    /// WCAG 2.1, 1.4.11: parts of a graphic 3 : 1. (`accent-pale` and `stripe` are grounds: what they show is outlined.)
    #[test]
    fn graphic_parts_stand_out_in_both_themes() {
        let parts = named("--stage-").into_iter().chain(named("--win-")).chain([of("--accent"), of("--guard")]);
        for part in parts {
            for (a, paper) in part.into_iter().zip(of("--paper")) {
                assert!(contrast(a, paper) >= 3.0, "{a} on {paper}");
            }
        }
    }

    /// Neighbours in the life cycle differ by 6 steps of CIE lightness at least, to full colour vision and to a
    /// deuteranope (Machado, Oliveira & Fernandes 2009), and the first from the last by 30.
    #[test]
    fn stages_are_told_apart_without_hue() {
        let stages = named("--stage-");
        for theme in [0, 1] {
            for seen in [|hex: &str| lightness(hex), |hex: &str| lightness(&to_deuteranope(hex))] {
                let steps: Vec<f64> = stages.iter().map(|stage| seen(stage[theme])).collect();
                assert!(steps.windows(2).all(|pair| pair[0] - pair[1] >= 6.0), "{steps:?}");
                assert!(steps[0] - steps[4] >= 30.0, "{steps:?}");
            }
        }
    }

    /// Desk and papers are of one kind; every ink of the screen has its values.
    #[test]
    fn the_light_desk_has_the_papers_inks() {
        for (screen, paper) in SCREEN.colours().into_iter().zip(LIGHT.colours()) {
            let name = screen.trim_start_matches("var(").trim_end_matches(')');
            assert_eq!(of(name)[0], paper, "{name}");
        }
    }

    #[test]
    fn the_style_sheet_has_every_name_once() {
        for theme in [Theme::Light, Theme::Dark] {
            let css = declarations(theme);
            assert!(TOKENS.iter().all(|(name, ..)| css.matches(&format!("{name}: #")).count() == 1));
        }
        assert!(declarations(Theme::Dark).starts_with("--paper: #14191c;\n"));
    }
}
