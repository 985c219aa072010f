//! What bands caught, beside what the season would give; and whether to go on.

use jiff::ToSpan as _;
use jiff::civil::Date;

use crate::Setting;
use crate::timing::{Event, StageDay, Timing, date_quantile};
use crate::types::chance::{stream, uniform};
use crate::types::draws::quantile;
use crate::types::{Area, BandVisit, BandWork, Catch, Parameters};

/// Days over which a catch is averaged: service is not daily everywhere.
const WEEK: i64 = 7;

/// One day of service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CatchDay {
    /// Day.
    pub date: Date,
    /// Bands looked under.
    pub bands: u32,
    /// What was found.
    pub found: Catch,
    /// Insects a band on the visits of the week up to this day.
    pub week: f64,
    /// The same if catches followed the share of larvae and pupae that hide, scaled to all that was caught so far;
    /// `None` without dates or before anything was caught.
    pub expected: Option<f64>,
}

/// A share of a block's insects, with its range over draws.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TakenShare {
    /// 5 % point.
    pub low: f64,
    /// Middle.
    pub middle: f64,
    /// 95 % point.
    pub high: f64,
}

impl TakenShare {
    /// Of so many, by draws of the whole; never above all of it. `None` without draws.
    pub fn of(taken: f64, whole: &[f64]) -> Option<Self> {
        if whole.is_empty() {
            return None;
        }
        // A draw below what was taken is refuted by it: all of it was taken.
        let shares: Vec<f64> = whole.iter().map(|all| if *all > taken { taken / all } else { 1.0 }).collect();
        let shares = if taken > 0.0 { shares } else { vec![0.0; whole.len()] };
        Some(Self { low: quantile(&shares, 0.05), middle: quantile(&shares, 0.5), high: quantile(&shares, 0.95) })
    }
}

/// How often bands are to be served.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Service {
    /// Not yet.
    Wait,
    /// More often: every day.
    Raise,
    /// As it is.
    Keep,
    /// Every third day is enough.
    ThinOut,
    /// It no longer pays.
    Stop,
}

impl Service {
    /// In words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Wait => "wait",
            Self::Raise => "serve every day",
            Self::Keep => "go on as now",
            Self::ThinOut => "every third day is enough",
            Self::Stop => "stop",
        }
    }
}

/// What to do, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct BandAdvice {
    /// What.
    pub service: Service,
    /// Why, in sentences.
    pub because: Vec<String>,
}

/// A season of bands in one block or in the city.
#[derive(Clone, Debug, PartialEq)]
pub struct BandSeason {
    /// Days of service in order.
    pub days: Vec<CatchDay>,
    /// All that was found.
    pub found: Catch,
    /// Visits to bands: a band looked under twice counts twice.
    pub band_visits: u32,
    /// Share of the late larvae of the place that was taken; `None` without draws of its density.
    pub share: Option<TakenShare>,
    /// Eggs that the insects taken would have laid, had they all lived: 5 %, middle, 95 %. Never to be shown without the
    /// share.
    pub eggs: [f64; 3],
    /// What to do next.
    pub advice: BandAdvice,
}

/// The place in [`Catch::NAMES`] of what a day's stages make likeliest: young larvae, old ones, pupae or egg masses.
pub fn likeliest(day: &StageDay) -> usize {
    let sums = [&day.shares[1..=3], &day.shares[4..=6], &day.shares[7..=7], &day.shares[8..=9]]
        .map(|shares| shares.iter().sum::<f64>());
    (1..sums.len()).fold(0, |best, i| if sums[i] > sums[best] { i } else { best })
}

/// Sums up visits of one season. `density` are draws of new masses per hectare on `area`.
///
/// Insects are living larvae and pupae. The share is insects over (masses x eggs x hatch x survival to the fourth
/// instar), draw by draw; the last factor has no source and rules the range. Bands put up or taken down are no looks;
/// what was found at them counts all the same.
pub fn band_season(
    visits: &[&BandVisit],
    area: Area,
    density: &[f64],
    timing: Option<&Timing>,
    p: &Parameters,
    setting: &Setting,
) -> BandSeason {
    let found = visits.iter().fold(Catch::default(), |all, v| all.and(v.found));
    let insects = f64::from(found.insects());
    let draws = Draws::of(p, density, area, setting);
    let looks: Vec<&BandVisit> = visits.iter().copied().filter(|v| v.work == BandWork::Look).collect();
    let days = days(&looks, timing);
    BandSeason {
        advice: advice(&days, timing, p, setting.today),
        found,
        band_visits: looks.iter().fold(0, |all, v| all.saturating_add(v.bands)),
        share: TakenShare::of(insects, &draws.larvae),
        eggs: [0.05, 0.5, 0.95].map(|q| insects * p.number("bands.female") * quantile(&draws.eggs, q)),
        days,
    }
}

struct Draws {
    /// Eggs a mass.
    eggs: Vec<f64>,
    /// Late larvae of the place.
    larvae: Vec<f64>,
}

impl Draws {
    fn of(p: &Parameters, density: &[f64], area: Area, setting: &Setting) -> Self {
        let [eggs, hatch, survival] = ["bands.eggs", "bands.hatch", "bands.late_survival"].map(|name| p.value(name));
        let luck = |i: usize| {
            let mut rng = stream(setting.seed, "field.catch", i as u64);
            [uniform(&mut rng), uniform(&mut rng), uniform(&mut rng)]
        };
        let n = density.len().max(200);
        let drawn: Vec<[f64; 3]> = (0..n).map(luck).collect();
        let all = |(d, [e, h, s]): (&f64, &[f64; 3])| {
            d * area.as_hectares() * eggs.quantile(*e) * hatch.quantile(*h) * survival.quantile(*s)
        };
        Self {
            eggs: drawn.iter().map(|[e, ..]| eggs.quantile(*e)).collect(),
            larvae: density.iter().zip(&drawn).map(all).collect(),
        }
    }
}

fn days(visits: &[&BandVisit], timing: Option<&Timing>) -> Vec<CatchDay> {
    let mut dates: Vec<Date> = visits.iter().map(|v| v.date).collect();
    dates.sort();
    dates.dedup();
    let on = |date: Date| visits.iter().filter(move |v| v.date == date);
    let sums =
        |date: Date| on(date).fold((0_u32, Catch::default()), |(n, c), v| (n.saturating_add(v.bands), c.and(v.found)));
    let by_day: Vec<(Date, (u32, Catch))> = dates.into_iter().map(|date| (date, sums(date))).collect();
    let scale = scale(&by_day, timing);
    let day = |(date, (bands, found)): &(Date, (u32, Catch))| CatchDay {
        date: *date,
        bands: *bands,
        found: *found,
        week: week(&by_day, *date),
        expected: scale.and_then(|scale| Some(scale * hiding(timing?, *date)?)),
    };
    by_day.iter().map(day).collect()
}

/// Insects a band on the visits of the week that ends on a day.
fn week(by_day: &[(Date, (u32, Catch))], last: Date) -> f64 {
    let first = last.saturating_sub((WEEK - 1).days());
    let inside = by_day.iter().filter(|(date, _)| (first..=last).contains(date));
    let (bands, insects) =
        inside.fold((0.0, 0.0), |(b, i), (_, (n, c))| (b + f64::from(*n), i + f64::from(c.insects())));
    if bands > 0.0 { insects / bands } else { 0.0 }
}

/// Insects a band for a share of 1 that hides: all that was caught over what the bands looked under would have held.
fn scale(by_day: &[(Date, (u32, Catch))], timing: Option<&Timing>) -> Option<f64> {
    let timing = timing?;
    let (caught, held) = by_day.iter().fold((0.0, 0.0), |(c, h), (date, (bands, found))| {
        (c + f64::from(found.insects()), h + f64::from(*bands) * hiding(timing, *date).unwrap_or(0.0))
    });
    (caught > 0.0 && held > 0.0).then(|| caught / held)
}

/// Share of all that hides by day: fourth instar to pupa.
fn hiding(timing: &Timing, date: Date) -> Option<f64> {
    timing.stages.iter().find(|day| day.date == date).map(hidden)
}

fn hidden(day: &StageDay) -> f64 {
    day.shares[4..=7].iter().sum()
}

fn advice(days: &[CatchDay], timing: Option<&Timing>, p: &Parameters, today: Date) -> BandAdvice {
    let said = |service, because: Vec<String>| BandAdvice { service, because };
    let on = |event, q| timing.and_then(|t| date_quantile(&t.event(event)?.dates, q));
    let Some(last) = days.last() else {
        let early = on(Event::ThirdInstarQuarter, 0.05);
        return match early {
            Some(early) if today < early => {
                said(Service::Wait, vec!["Larvae begin to hide from the third instar on; it has not begun.".to_owned()])
            }
            _ => {
                said(Service::Keep, vec!["Nothing was written down yet: the advice comes from the catches.".to_owned()])
            }
        };
    };
    let (week, before) = (last.week, week_before(days, last.date));
    let falling = before.is_some_and(|before| week < before);
    let trend = match before {
        Some(before) => format!("{week:.1} insects a band in the last week of visits, {before:.1} in the week before."),
        None => format!("{week:.1} insects a band in the last week of visits; there is no week before it yet."),
    };
    if on(Event::LayingOver, 0.5).is_some_and(|over| today >= over) {
        let over = "Most likely the females have laid: nothing new comes down.".to_owned();
        return said(Service::Stop, vec![trend, over]);
    }
    let pupating = on(Event::Pupae, 0.5).is_some_and(|day| today >= day);
    if falling && week < p.number("bands.stop") {
        let late =
            if pupating { "Most have pupated." } else { "They may come later: look once more before bands come down." };
        return said(Service::Stop, vec![trend, late.to_owned()]);
    }
    if falling && week < p.number("bands.thin") {
        return said(Service::ThinOut, vec![trend, "Little is missed between visits.".to_owned()]);
    }
    if week >= p.number("bands.raise") {
        let crowded = "Bands this full hold larvae that go back up in the evening.".to_owned();
        return said(Service::Raise, vec![trend, crowded]);
    }
    said(Service::Keep, vec![trend])
}

/// Insects a band in the week before the last one; `None` where it had no visits.
fn week_before(days: &[CatchDay], last: Date) -> Option<f64> {
    let (first, end) = (last.saturating_sub((2 * WEEK - 1).days()), last.saturating_sub(WEEK.days()));
    let inside = days.iter().filter(|day| (first..=end).contains(&day.date));
    let (bands, insects) =
        inside.fold((0.0, 0.0), |(b, i), day| (b + f64::from(day.bands), i + f64::from(day.found.insects())));
    (bands > 0.0).then(|| insects / bands)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use jiff::civil::date;

    use super::*;

    fn visit(day: i8, bands: u32, large: u32) -> BandVisit {
        BandVisit {
            id: format!("{day}").as_str().into(),
            date: date(2027, 6, day),
            block: "A01".into(),
            tree: None,
            work: BandWork::Look,
            bands,
            found: Catch { large, ..Catch::default() },
            hours: None,
            who: String::new(),
            place: None,
            note: String::new(),
        }
    }

    fn season(visits: &[BandVisit], density: &[f64], today: Date) -> BandSeason {
        let visits: Vec<&BandVisit> = visits.iter().collect();
        let setting = Setting { today, seed: 1, draws: 200 };
        band_season(&visits, Area::hectares(1.0), density, None, &Parameters::defaults(), &setting)
    }

    #[test]
    fn a_days_stages_say_what_will_be_found() {
        let on = |stage: usize| {
            let mut shares = [0.0; 10];
            (shares[0], shares[stage]) = (0.4, 0.6);
            likeliest(&StageDay { date: date(2027, 6, 14), shares })
        };
        let names: Vec<&str> = [2, 5, 7, 9].map(|stage| Catch::NAMES[on(stage)]).into();
        assert_eq!(names, ["small larvae", "large larvae", "pupae", "egg masses"]);
    }

    /// Thorpe et al. 1995, table 3: 9.0 larvae removed of 4,169 are 0.22 %, 25.8 of 6,457 are 0.40 %.
    #[test]
    fn shares_as_in_the_trial() {
        for (taken, left, percent) in [(9.0, 4_160.0, 0.216), (25.8, 6_431.2, 0.3996)] {
            let share = TakenShare::of(taken, &[taken + left]).unwrap();
            assert!((100.0 * share.middle - percent).abs() < 0.005, "{share:?}");
        }
    }

    #[test]
    fn more_than_there_can_be_is_all_of_it_and_nothing_is_nothing() {
        assert_eq!(TakenShare::of(50.0, &[10.0, 20.0]).unwrap().middle, 1.0);
        assert_eq!(TakenShare::of(0.0, &[0.0, 20.0]).unwrap().high, 0.0);
        assert_eq!(TakenShare::of(5.0, &[]), None);
    }

    /// The trade's figure: of 100 larvae half are female, each one mass of 500 to 1,000 eggs: 25,000 to 50,000.
    #[test]
    fn a_hundred_larvae_stand_for_tens_of_thousands_of_eggs() {
        let eggs = season(&[visit(20, 10, 100)], &[500.0; 50], date(2027, 6, 21)).eggs;
        assert!((20_000.0..32_000.0).contains(&eggs[1]), "{eggs:?}");
        assert!(eggs[0] < eggs[1] && eggs[1] < eggs[2]);
    }

    /// The same catch is a good part of a thin population and next to nothing of an outbreak.
    #[test]
    fn the_share_falls_with_density() {
        let share = |density| season(&[visit(20, 10, 300)], &[density; 200], date(2027, 6, 21)).share.unwrap();
        let (thin, outbreak) = (share(20.0), share(5_000.0));
        assert!(thin.middle > 0.1 && outbreak.middle < 0.005, "{thin:?} {outbreak:?}");
    }

    #[test]
    fn a_week_is_seven_days_and_weighs_bands() {
        let days = season(&[visit(1, 10, 100), visit(7, 30, 20), visit(8, 10, 0)], &[], date(2027, 6, 9)).days;
        let weeks: Vec<f64> = days.iter().map(|d| d.week).collect();
        assert_eq!(weeks, [10.0, 3.0, 0.5]);
    }

    #[test]
    fn advice_follows_the_catch() {
        let service = |visits: &[BandVisit]| season(visits, &[], date(2027, 6, 20)).advice.service;
        assert_eq!(service(&[visit(10, 10, 300)]), Service::Raise);
        assert_eq!(service(&[visit(10, 10, 50)]), Service::Keep);
        assert_eq!(service(&[visit(1, 10, 50), visit(12, 10, 5)]), Service::ThinOut);
        assert_eq!(service(&[visit(1, 100, 500), visit(12, 100, 5)]), Service::Stop);
        // A small catch that rises is no reason to do less.
        assert_eq!(service(&[visit(1, 10, 1), visit(12, 10, 5)]), Service::Keep);
    }
}
