//! The fixed lists of choices, seen through one trait, so that reading a word is written once.

use crownhold::types::{
    Audience, BandWork, Consent, HostClass, Known, LandUse, LeafHost, Means, NoSprayKind, Ownership, Period, Role,
    RoundWork, SampleKind, SprayMethod, Substrate, Tactic, UnitSystem, Workforce,
};

/// A fixed list of choices, each with its word in the file.
pub(super) trait Choice: Copy + 'static {
    /// Every choice.
    const ALL: &'static [Self];
    /// The word in the file.
    fn word(self) -> &'static str;
    /// From the word, forgiving in case and blanks.
    fn from_word(word: &str) -> Option<Self>;
}

macro_rules! choices {
    ($($name:ident),+ $(,)?) => {$(
        impl Choice for $name {
            const ALL: &'static [Self] = $name::ALL;
            fn word(self) -> &'static str {
                $name::word(self)
            }
            fn from_word(word: &str) -> Option<Self> {
                $name::from_word(word)
            }
        }
    )+};
}

choices!(
    LandUse,
    Ownership,
    Consent,
    HostClass,
    Substrate,
    NoSprayKind,
    Workforce,
    Period,
    Tactic,
    Known,
    Role,
    RoundWork,
    LeafHost,
    SampleKind,
    SprayMethod,
    Audience,
    BandWork,
    Means
);

impl Choice for UnitSystem {
    const ALL: &'static [Self] = &[Self::Us, Self::Metric];
    fn word(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Metric => "metric",
        }
    }
    fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|u| u.word().eq_ignore_ascii_case(word.trim()))
    }
}
