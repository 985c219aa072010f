//! The ten stages of the model as the five that are drawn, and the eggs of the next generation.

use crownhold::timing::StageDay;

use crate::palette::{EGG_OPACITY, Inks};

/// What is drawn, as it is stacked: the next stage comes in from below and pushes the one before it out at the top.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Drawn {
    NewEgg,
    Adult,
    Pupa,
    Late,
    Early,
    Egg,
}

impl Drawn {
    pub(super) const STACK: [Self; 6] = [Self::NewEgg, Self::Adult, Self::Pupa, Self::Late, Self::Early, Self::Egg];
    /// The same in the order of drawing: outlined ones first, so that their outline does not lie on others.
    pub(super) const PAINTED: [Self; 6] = [Self::NewEgg, Self::Egg, Self::Adult, Self::Pupa, Self::Late, Self::Early];

    /// Share on a day. Moths that have laid stand for the egg masses they leave.
    pub(super) fn share(self, shares: &[f64; 10]) -> f64 {
        match self {
            Self::Egg => shares[0],
            Self::Early => shares[1..4].iter().sum(),
            Self::Late => shares[4..7].iter().sum(),
            Self::Pupa => shares[7],
            Self::Adult => shares[8],
            Self::NewEgg => shares[9],
        }
    }
    /// Is it an egg, at rest or new?
    pub(super) fn is_egg(self) -> bool {
        matches!(self, Self::Egg | Self::NewEgg)
    }
    /// Fill and stroke: eggs pale with an outline, so that what moves stands out.
    pub(super) fn paint(self, inks: &Inks) -> String {
        let ink = self.ink(inks);
        if self.is_egg() {
            format!("fill=\"{ink}\" fill-opacity=\"{EGG_OPACITY}\" stroke=\"{ink}\" stroke-width=\"1\"")
        } else {
            format!("fill=\"{ink}\" stroke=\"{}\" stroke-width=\"0.8\"", inks.paper)
        }
    }
    fn ink(self, inks: &Inks) -> &'static str {
        inks.stages[match self {
            Self::Egg | Self::NewEgg => 0,
            Self::Early => 1,
            Self::Late => 2,
            Self::Pupa => 3,
            Self::Adult => 4,
        }]
    }
    /// Text on it.
    pub(super) fn text(self, inks: &Inks) -> &'static str {
        if self.is_egg() { inks.ink } else { inks.paper }
    }
    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Egg => "eggs",
            Self::NewEgg => "new eggs",
            Self::Early => "young larvae",
            Self::Late => "old larvae",
            Self::Pupa => "pupae",
            Self::Adult => "moths",
        }
    }
    /// The same for little room, between its neighbours.
    pub(super) fn short_word(self) -> &'static str {
        match self {
            Self::Early => "young",
            Self::Late => "old",
            other => other.word(),
        }
    }
    /// The stages of the model in it, where the word does not say so.
    pub(super) fn detail(self) -> Option<&'static str> {
        match self {
            Self::Early => Some("instars 1 to 3"),
            Self::Late => Some("instars 4 to 6"),
            _ => None,
        }
    }
    /// Lower and upper edge in the stack, 0 to 1.
    pub(super) fn edges(self, shares: &[f64; 10]) -> (f64, f64) {
        let below: f64 = Self::STACK.iter().take_while(|s| **s != self).map(|s| s.share(shares)).sum();
        (below.min(1.0), (below + self.share(shares)).min(1.0))
    }
}

/// First and last place of the longest run of days on which a stage has at least `least`.
pub(super) fn longest_run(days: &[StageDay], stage: Drawn, least: f64) -> Option<(usize, usize)> {
    let mut best: Option<(usize, usize)> = None;
    let mut start = None;
    for i in 0..=days.len() {
        let holds = days.get(i).is_some_and(|day| stage.share(&day.shares) >= least);
        match (holds, start) {
            (true, None) => start = Some(i),
            (false, Some(from)) => {
                if best.is_none_or(|(a, b)| i - 1 - from > b - a) {
                    best = Some((from, i - 1));
                }
                start = None;
            }
            _ => {}
        }
    }
    best
}

/// A sentence on when each stage is most of all, for those who do not see the drawing.
pub(super) fn told(days: &[StageDay], day: impl Fn(jiff::civil::Date) -> String) -> String {
    let most = |stage: Drawn| {
        let (from, to) = longest_run(days, stage, 0.5)?;
        let detail = stage.detail().map(|detail| format!(" ({detail})")).unwrap_or_default();
        Some(format!("{}{detail} {} to {}", stage.word(), day(days[from].date), day(days[to].date)))
    };
    let parts: Vec<String> = Drawn::STACK.iter().rev().filter_map(|stage| most(*stage)).collect();
    if parts.is_empty() { String::new() } else { format!("More than half are: {}.", parts.join("; ")) }
}
