//! Seasons that go wrong in one way, to try a plan on: what each changes in the inputs.

use jiff::ToSpan;

use super::Options;
use crate::Setting;
use crate::survey::Density;
use crate::timing::{Timing, Window, WindowKind};
use crate::types::parameters::{Default, Known, Value};
use crate::types::{HoursSupply, Parameters, Records, Workforce};

const POLICY: &str = "a policy of the programme: how bad a season the plan is tried on";

pub(crate) const DEFAULTS: &[Default] = &[
    Default(
        "stress.days_early",
        Value::Number(10.0),
        "days",
        "sprays are readied for the forecast; hatch and all that follows come earlier by this",
        Known::Assumption,
        POLICY,
    ),
    Default(
        "stress.mornings_lost",
        Value::Number(1.0),
        "mornings",
        "spray mornings lost to weather or a broken aircraft; the ground they were for is flown late",
        Known::Assumption,
        POLICY,
    ),
    Default(
        "stress.bands_left",
        Value::Number(0.5),
        "share",
        "what is left of the larvae that bands take",
        Known::Assumption,
        POLICY,
    ),
    Default(
        "stress.volunteers_left",
        Value::Number(0.6),
        "share",
        "what is left of the volunteer hours",
        Known::Assumption,
        POLICY,
    ),
];

/// A way for a season to go wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stress {
    /// The heat runs ahead of what sprays were readied for.
    HatchEarly,
    /// Spray mornings are lost.
    MorningLost,
    /// Bands take fewer larvae.
    WeakBands,
    /// Volunteers stay away.
    FewVolunteers,
}

impl Stress {
    /// All of them.
    pub const ALL: &[Self] = &[Self::HatchEarly, Self::MorningLost, Self::WeakBands, Self::FewVolunteers];

    /// Its word in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::HatchEarly => "hatch early",
            Self::MorningLost => "spray morning lost",
            Self::WeakBands => "weak bands",
            Self::FewVolunteers => "few volunteers",
        }
    }

    /// What happens, in words.
    pub fn happens(self, p: &Parameters) -> String {
        let lost = |name: &str| format!("{:.0} %", 100.0 * (1.0 - p.number(name)));
        match self {
            Self::HatchEarly => {
                format!("hatch {:.0} days before the days that sprays were readied for", p.number("stress.days_early"))
            }
            Self::MorningLost => match p.number("stress.mornings_lost") {
                n if (n - 1.0).abs() < 1e-9 => "one spray morning lost".to_owned(),
                n => format!("{n:.0} spray mornings lost"),
            },
            Self::WeakBands => format!("bands take {} fewer larvae", lost("stress.bands_left")),
            Self::FewVolunteers => format!("volunteers work {} fewer hours", lost("stress.volunteers_left")),
        }
    }

    /// The parameters of such a season. `mornings` are those that the plan's flights take; 0 when nothing is flown.
    pub fn parameters(self, p: &Parameters, mornings: u32) -> Parameters {
        let mut changed = p.clone();
        match self {
            Self::MorningLost if mornings > 0 => {
                let lost = (p.number("stress.mornings_lost") / f64::from(mornings)).clamp(0.0, 1.0);
                scale(&mut changed, "aerial.in_time", 1.0 - lost);
            }
            Self::WeakBands => {
                let left = p.number("stress.bands_left");
                ["bands.share.at_30", "bands.share.at_200", "bands.share.at_1000"]
                    .iter()
                    .for_each(|name| scale(&mut changed, name, left));
            }
            _ => {}
        }
        changed
    }

    /// The dates of such a season. Sprays begin on the day they were readied for, and their windows close earlier; scraping
    /// is over by then, and bands hang long enough.
    pub fn timing(self, timing: &Timing, p: &Parameters) -> Timing {
        let mut changed = timing.clone();
        if self == Self::HatchEarly {
            let sprayed = |w: &&mut Window| matches!(w.kind, WindowKind::GroundBtk | WindowKind::AerialBtk);
            changed.windows.iter_mut().filter(sprayed).for_each(|w| close_earlier(w, p.number("stress.days_early")));
        }
        changed
    }

    /// The hours of such a season.
    pub fn hours(self, hours: &[HoursSupply], p: &Parameters) -> Vec<HoursSupply> {
        let left = if self == Self::FewVolunteers { p.number("stress.volunteers_left") } else { 1.0 };
        let less = |h: &HoursSupply| match h.who {
            Workforce::Volunteers => HoursSupply { hours: h.hours * left, ..h.clone() },
            Workforce::Crew => h.clone(),
        };
        hours.iter().map(less).collect()
    }
}

/// The options with their chances in the worst of the season as forecast, an early hatch and weak bands: those that do not
/// depend on the plan. `options` are those as forecast.
pub fn worst_options(
    options: &Options,
    records: &Records,
    density: &Density,
    timing: Option<&Timing>,
    setting: &Setting,
) -> Options {
    let p = &records.parameters;
    let mut worst = options.clone();
    for stress in [Stress::HatchEarly, Stress::WeakBands] {
        let changed = Records { parameters: stress.parameters(p, 0), ..records.clone() };
        let timing = timing.map(|t| stress.timing(t, p));
        let other = super::options(&changed, density, timing.as_ref(), setting);
        let pairs = worst.blocks.iter_mut().zip(&other.blocks).flat_map(|(a, b)| a.options.iter_mut().zip(&b.options));
        for (mine, theirs) in pairs {
            mine.chance_over = mine.chance_over.max(theirs.chance_over);
            mine.expected_defoliation = mine.expected_defoliation.max(theirs.expected_defoliation);
            mine.larvae_removed = mine.larvae_removed.min(theirs.larvae_removed);
        }
    }
    worst
}

fn scale(p: &mut Parameters, name: &str, by: f64) {
    let scaled = match p.value(name) {
        Value::Number(a) => Value::Number(a * by),
        Value::Triangular(a, b, c) => Value::Triangular(a * by, b * by, c * by),
        Value::Lognormal(a, b, c) => Value::Lognormal(a * by, b * by, c * by),
        Value::Normal(mean, sd) => Value::Normal(mean * by, sd * by),
    };
    p.set(name, scaled, POLICY);
}

fn close_earlier(window: &mut Window, days: f64) {
    let earlier = (days.round() as i64).days();
    for (opens, closes) in window.opens.iter_mut().zip(&mut window.closes) {
        *closes = closes.map(|c| c.saturating_sub(earlier)).filter(|c| opens.is_some_and(|o| o <= *c));
        *opens = closes.and(*opens);
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;

    use super::*;

    #[test]
    fn a_window_that_closes_earlier_may_not_open_at_all() {
        let mut window = Window {
            kind: WindowKind::AerialBtk,
            opens: vec![Some(date(2027, 5, 10)), Some(date(2027, 5, 10)), None],
            closes: vec![Some(date(2027, 5, 24)), Some(date(2027, 5, 15)), None],
            rule: String::new(),
        };
        close_earlier(&mut window, 10.0);
        assert_eq!(window.opens, [Some(date(2027, 5, 10)), None, None]);
        assert_eq!(window.closes, [Some(date(2027, 5, 14)), None, None]);
    }

    #[test]
    fn only_what_goes_wrong_is_changed() {
        let p = Parameters::defaults();
        let weak = Stress::WeakBands.parameters(&p, 3);
        assert!((weak.value("bands.share.at_200").mean() - 0.5 * p.value("bands.share.at_200").mean()).abs() < 1e-12);
        assert_eq!(weak.number("aerial.in_time"), p.number("aerial.in_time"));
        let lost = Stress::MorningLost.parameters(&p, 4);
        assert!((lost.number("aerial.in_time") - 0.75 * p.number("aerial.in_time")).abs() < 1e-12);
        assert_eq!(Stress::MorningLost.parameters(&p, 0).number("aerial.in_time"), p.number("aerial.in_time"));
    }
}
