//! The season as an ensemble: what has been observed, forecast days, then each past year's remainder, times
//! draws of the parameters.
//!
//! Members take the past years in turn and draw the parameters from their own random stream, so that results
//! do not depend on threads. Before the season starts every day comes from past years; as days are observed
//! the ensemble narrows by itself to what the parameters leave open.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rayon::prelude::*;

use super::ahead::ForecastError;
use super::axis::Year;
use super::biology::Biology;
use super::course::Course;
use super::degree_days::{DayRange, StartDay};
use super::learning::{self, Learned, Lesson, SampleModel, School};
use super::offsets::Offsets;
use super::signs::{HatchSign, Sign};
use super::stages::Molt;
use super::windows::{Rules, date};
use super::years::{self, Turns};
use super::{Event, EventDates, HostDates, StageDay, Timing, Window, WindowKind, hatch::Hatch, heat, weather};
use crate::Setting;
use crate::types::{Block, FieldSample, LeafHost, Length, Parameters, Problem, StationId, WeatherSeries, chance};

/// Fewer past years than this do not show how much springs differ.
const ENOUGH_YEARS: usize = 10;
/// A past year is complete enough when it has every day up to this month's end; moths have laid by then.
const LAST_MONTH_NEEDED: i8 = 9;
/// Spreads by which remainders are taken warmer when there are few years: five points that together have the mean and,
/// within 1 %, the variance of a normal number.
const SHIFTS: [f64; 5] = [0.0, -0.6, 0.6, -1.46, 1.46];
/// Members whose stage shares are summed together. Sums are in this order whatever the threads do.
const CHUNK: usize = 32;

/// What was seen in the field, and the blocks it was seen in.
#[derive(Clone, Copy, Debug, Default)]
pub struct Field<'a> {
    /// Samples of any year and day; those of the season up to the day of the question are used.
    pub samples: &'a [FieldSample],
    /// Blocks; a sample of one stands at its height and built-up share.
    pub blocks: &'a [Block],
}

/// Dates of one season.
///
/// `weather` is looked at in order; the first station with a usable past year is taken. Days after
/// `setting.today` are used only when they are marked as forecasts, samples after it not at all.
/// `setting.draws` members are made.
///
/// Steps: look the weather over; choose the first day for egg heat; lay this season's known days over every
/// past year; per member draw half hatch, leaf lateness and stage lengths, by the samples where there are any, and
/// the error of forecast days; solve events and windows on the heat axes. Cost: a few table readings per event and
/// member.
///
/// # Errors
/// Weather in the wrong unit, no station with a past year complete from January to September, parameters that
/// make no sense, or no draws asked for.
pub fn forecast(
    weather: &[WeatherSeries],
    field: Field<'_>,
    parameters: &Parameters,
    season: i16,
    setting: &Setting,
) -> Result<Timing, Vec<Problem>> {
    let mut base = Base::new(weather, parameters, season, setting)?;
    let mut notes = std::mem::take(&mut base.station.notes);
    let plain: Vec<Draw> = (0..setting.draws).map(|i| base.prior(i)).collect();
    let (lesson, unused) = base.learn(field, parameters);
    let run = base.run(&base.years, lesson.as_ref().map_or(&plain, |lesson| &lesson.draws));
    let members = run.members();
    let windows = run.windows(&members);
    let (hosts, signs) = (run.hosts(), run.signs());
    let past = base.years_of(base.station.past_paths(season));
    let heat = base.station.heat_paths(season, &base.years, &past).fans(&base.biology, base.start);
    let (events, stages) = (run.events(&members), run.stages());
    notes.extend(unused);
    notes.extend(windows.iter().filter_map(|window| missing_note(window, setting.draws)));
    let learned = lesson.map(|lesson| {
        notes.extend(lesson.notes);
        let before = base.run(&base.years, &plain);
        let members = before.members();
        Learned {
            prior: before.events(&members),
            prior_windows: before.windows(&members),
            samples: lesson.samples,
            effective_members: lesson.effective,
        }
    });
    Ok(Timing {
        season,
        issued: setting.today,
        station: base.station.id.clone(),
        years: base.station.past.keys().copied().collect(),
        events,
        windows,
        hosts,
        signs,
        stages,
        heat,
        learned,
        notes,
    })
}

/// One draw of the unknowns of a member.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Draw {
    /// Past year that stands in for the days to come.
    pub(super) year: usize,
    /// Half hatch, stage lengths and leaves, in spreads from their mean.
    pub(super) hatch_z: f64,
    pub(super) stage_z: f64,
    pub(super) leaf_z: f64,
}

impl Draw {
    pub(super) fn hatch(&self, biology: &Biology) -> Hatch {
        Hatch { mean: biology.hatch.mean + biology.hatch_error * self.hatch_z, spread: biology.hatch.spread }
    }
    /// Far in the tail a normal factor would turn negative.
    pub(super) fn scale(&self, biology: &Biology) -> f64 {
        (biology.scale.0 + biology.scale.1 * self.stage_z).max(0.25 * biology.scale.0)
    }
}

/// What every question about a season starts from.
pub(super) struct Base<'a> {
    pub(super) biology: Biology,
    rules: Rules,
    signs: Vec<Sign>,
    forecast_error: ForecastError,
    pub(super) station: Station,
    pub(super) start: StartDay,
    /// This season's known days with each past year's remainder, as days and as heat.
    pub(super) paths: Vec<Vec<DayRange>>,
    pub(super) years: Vec<Year>,
    pub(super) turns: Turns,
    pub(super) season: i16,
    setting: &'a Setting,
}

impl<'a> Base<'a> {
    /// Looks weather and parameters over.
    pub(super) fn new(
        weather: &[WeatherSeries],
        parameters: &Parameters,
        season: i16,
        setting: &'a Setting,
    ) -> Result<Self, Vec<Problem>> {
        let mut wrong = Vec::new();
        let mut take = |problems: Vec<Problem>| wrong.extend(problems);
        let biology = Biology::read(parameters).map_err(&mut take).ok();
        let rules = Rules::read(parameters, season).map_err(&mut take).ok();
        let signs = Sign::all(parameters).map_err(&mut take).ok();
        let station = Station::choose(weather, season, setting.today).map_err(&mut take).ok();
        if setting.draws == 0 {
            take(vec![Problem::error("timing.draws", "no draws were asked for.", "Ask for 100 draws or more.")]);
        }
        let (Some(biology), Some(rules), Some(signs), Some(mut station)) = (biology, rules, signs, station) else {
            return Err(wrong);
        };
        if !wrong.is_empty() {
            return Err(wrong);
        }
        let start = station.egg_start(&biology);
        let years: Vec<i16> = station.past.keys().copied().collect();
        let (turns, note) = years::choose(&years, &station.spring_heat(&biology), season, parameters);
        station.notes.extend(note);
        let paths = station.paths(season, parameters.number("timing.weather.year-spread"));
        // Where few years are taken warmer and colder too, all of these count alike.
        let turns = if paths.len() == years.len() { turns } else { Turns::equal(paths.len()) };
        let forecast_error = ForecastError::read(parameters);
        let years = paths.iter().map(|days| Year::new(days, &biology, start, season)).collect();
        Ok(Self { biology, rules, signs, forecast_error, station, start, paths, years, turns, season, setting })
    }

    fn years_of(&self, paths: Vec<Vec<DayRange>>) -> Vec<Year> {
        paths.iter().map(|days| Year::new(days, &self.biology, self.start, self.season)).collect()
    }

    /// The years at so many degrees above the station.
    pub(super) fn years_at(&self, offset: f64, paths: &[Vec<DayRange>]) -> Vec<Year> {
        let warmer = |days: &Vec<DayRange>| days.iter().map(|day| day.warmer(offset)).collect();
        self.years_of(paths.iter().map(warmer).collect())
    }

    /// A member before any sample.
    pub(super) fn prior(&self, member: usize) -> Draw {
        let mut stream = chance::stream(self.setting.seed, "timing", member as u64);
        let [hatch_z, stage_z, leaf_z] = std::array::from_fn(|_| chance::normal(&mut stream));
        Draw { year: self.turns.of(member), hatch_z, stage_z, leaf_z }
    }

    /// Members that the samples leave, `None` without samples that can be used; and why some cannot.
    pub(super) fn learn(&self, field: Field<'_>, parameters: &Parameters) -> (Option<Lesson>, Vec<Problem>) {
        let samples = learning::of_season(field.samples, self.season, self.setting.today);
        let model = SampleModel::read(parameters);
        let offsets = Offsets::of(parameters, self.station.elevation);
        let block = |s: &FieldSample| field.blocks.iter().find(|block| Some(&block.id) == s.block.as_ref());
        let offset_of = |s: &FieldSample| block(s).map_or(0.0, |block| offsets.rounded(block));
        let (looks, unused) = learning::looks(&samples, offset_of, &model);
        let Some(last) = looks.iter().map(|look| look.day).max() else { return (None, unused) };
        // Days that all years share need to be counted once only.
        let known = self.paths[0].iter().zip(days_of(self.season)).take(last + 1);
        let known = known.filter(|(_, day)| self.station.known.contains_key(day)).count() > last;
        let paths = if known { &self.paths[..1] } else { &self.paths[..] };
        let at: Vec<_> =
            learning::offsets(&looks).into_iter().map(|offset| (offset, self.years_at(offset, paths))).collect();
        let school = School {
            biology: &self.biology,
            model: &model,
            years: &self.years,
            at: &at,
            looks: &looks,
            turns: &self.turns,
            season: self.season,
            seed: self.setting.seed,
        };
        (Some(school.learn(self.setting.draws)), unused)
    }

    /// The members of these draws in these years.
    pub(super) fn run<'r>(&'r self, years: &'r [Year], draws: &'r [Draw]) -> Run<'r> {
        let forecast: Vec<usize> = days_of(self.season)
            .enumerate()
            .filter(|(_, day)| self.station.forecast.contains(day))
            .map(|(i, _)| i)
            .collect();
        Run { base: self, years, draws, forecast }
    }
}

/// A station's usable days.
pub(super) struct Station {
    id: StationId,
    /// Height above sea level.
    pub(super) elevation: Option<Length>,
    /// Past years, complete from January to September: days by month and day.
    pub(super) past: BTreeMap<i16, BTreeMap<(i8, i8), DayRange>>,
    /// Known days of the season.
    known: BTreeMap<Date, DayRange>,
    /// Those of them that are forecasts.
    forecast: BTreeSet<Date>,
    pub(super) notes: Vec<Problem>,
}

impl Station {
    fn choose(weather: &[WeatherSeries], season: i16, today: Date) -> Result<Self, Vec<Problem>> {
        let mut passed_over = Vec::new();
        for series in weather {
            let station = Self::read(series, season, today);
            let refused = station.notes.iter().any(Problem::is_error);
            if !refused && !station.past.is_empty() {
                let mut station = station;
                station.note_years();
                station.note_gaps(season, today);
                return Ok(station);
            }
            passed_over.extend(station.notes);
        }
        let what = if weather.is_empty() { "there is no weather." } else { "no past year of weather is usable." };
        let remedy = "Bring in daily highs and lows of past years; ten or more are wanted.";
        let missing = Problem::error("timing.no-past-year", what, remedy)
            .expected(format!("at least one year before {season} with every day from January to September"));
        passed_over.push(missing);
        Err(passed_over)
    }

    fn read(series: &WeatherSeries, season: i16, today: Date) -> Self {
        let mut seen = series.clone();
        seen.days.retain(|day| day.forecast || day.date <= today);
        let (checked, notes) = weather::check(&seen);
        let mut past: BTreeMap<i16, BTreeMap<(i8, i8), DayRange>> = BTreeMap::new();
        let mut known = BTreeMap::new();
        for (date, range) in weather::ranges(&checked) {
            if date.year() < season {
                past.entry(date.year()).or_default().insert((date.month(), date.day()), range);
            } else if date.year() == season {
                known.insert(date, range);
            }
        }
        let forecast = checked.days.iter().filter(|day| day.forecast).map(|day| day.date).collect();
        past.retain(|year, days| days_of(*year).filter(|d| d.month() <= LAST_MONTH_NEEDED).all(|d| has(days, d)));
        Self { id: series.station.clone(), elevation: series.elevation, past, known, forecast, notes }
    }

    fn note_years(&mut self) {
        if self.past.len() < ENOUGH_YEARS {
            let what = format!("only {} past year(s) are usable.", self.past.len());
            let remedy = "The dates are made wider for it by an assumed spread between years. Bring in more years.";
            self.notes
                .push(Problem::notice("timing.few-years", what, remedy).expected(format!("{ENOUGH_YEARS} or more")));
        }
    }

    fn note_gaps(&mut self, season: i16, today: Date) {
        let missing = days_of(season).filter(|day| *day <= today && !self.known.contains_key(day)).count();
        if missing > 0 {
            let what = format!("{missing} day(s) of {season} up to {today} have no temperatures.");
            self.notes.push(Problem::notice(
                "timing.not-observed",
                what,
                "Past years stand in for them. Bring this year's weather up to date.",
            ));
        }
    }

    /// Where winters are mild, heat just above the base in January and February would be counted in full.
    /// The station's past years decide, not the single winter: a threshold on the winter itself would make a
    /// slightly warmer one hatch later.
    fn egg_start(&mut self, biology: &Biology) -> StartDay {
        let winters = self.past.values().flat_map(|days| days.iter().filter(|((month, _), _)| *month <= 2));
        let means: Vec<f64> = winters.map(|(_, day)| day.mean()).collect();
        let mean = crate::types::draws::mean(&means);
        if mean <= biology.warm_winter {
            return StartDay::JANUARY;
        }
        let what = format!("January and February of the past years have a mean of {mean:.1} C.");
        let remedy = "Heat for hatch is counted from 1 March instead of 1 January; watch for early hatch.";
        let limit = format!("at most {} C for a count from 1 January", biology.warm_winter);
        self.notes.push(Problem::notice("timing.warm-winter", what, remedy).expected(limit));
        StartDay::MARCH
    }

    /// Heat of each past year up to 15 May, degree-days C above the base of eggs.
    fn spring_heat(&self, biology: &Biology) -> Vec<f64> {
        let spring = |days: &BTreeMap<(i8, i8), DayRange>| {
            days.range(..=(5, 15)).map(|(_, day)| biology.egg_heat.day(*day, None)).sum()
        };
        self.past.values().map(spring).collect()
    }

    /// This season's days once with each past year's remainder. A past year that ends after September (the one
    /// before the season, asked in autumn) borrows its last weeks from the latest year that has them: moths
    /// have laid by then.
    ///
    /// Few past years do not show how far a year may lie from them: for so many years to come the variance of a new
    /// one about their mean is 2 / years of the variance between years larger than what they show. With fewer than
    /// [`ENOUGH_YEARS`] each remainder is therefore taken again, warmer and colder by that much; as it is comes first.
    fn paths(&self, season: i16, year_spread: f64) -> Vec<Vec<DayRange>> {
        let as_they_are = self.paths_over(season, &self.known);
        if self.past.len() >= ENOUGH_YEARS {
            return as_they_are;
        }
        let spread = year_spread * (2.0 / self.past.len() as f64).sqrt();
        let shifted =
            |z: &f64| as_they_are.iter().map(|path| self.warmer(season, path, z * spread)).collect::<Vec<_>>();
        SHIFTS.iter().flat_map(shifted).collect()
    }

    /// A path with the days that are not known warmer by some degrees.
    fn warmer(&self, season: i16, path: &[DayRange], by: f64) -> Vec<DayRange> {
        let shift =
            |(day, range): (Date, &DayRange)| if self.known.contains_key(&day) { *range } else { range.warmer(by) };
        days_of(season).zip(path).map(shift).collect()
    }

    /// The past years by themselves, on the season's calendar.
    fn past_paths(&self, season: i16) -> Vec<Vec<DayRange>> {
        self.paths_over(season, &BTreeMap::new())
    }

    fn paths_over(&self, season: i16, known: &BTreeMap<Date, DayRange>) -> Vec<Vec<DayRange>> {
        let mut any_year = BTreeMap::new();
        self.past.values().for_each(|days| any_year.extend(days));
        let day_of = |past, day| known.get(&day).copied().or_else(|| stand_in(past, day));
        let path =
            |past| days_of(season).map_while(|day| day_of(past, day).or_else(|| stand_in(&any_year, day))).collect();
        self.past.values().map(path).collect()
    }

    fn heat_paths<'a>(&self, season: i16, ahead: &'a [Year], past: &'a [Year]) -> heat::Paths<'a> {
        let known = || days_of(season).take_while(|day| self.known.contains_key(day));
        let (observed_to, known_to) = (known().take_while(|day| !self.forecast.contains(day)).last(), known().last());
        heat::Paths { season, ahead, past, observed_to, known_to }
    }
}

/// Every day of a year.
pub(super) fn days_of(year: i16) -> impl Iterator<Item = Date> {
    let first = jiff::civil::date(year, 1, 1);
    first.series(jiff::Span::new().days(1)).take_while(move |day| day.year() == year)
}

fn has(days: &BTreeMap<(i8, i8), DayRange>, day: Date) -> bool {
    days.contains_key(&(day.month(), day.day()))
}

/// The same calendar day of a past year; a year without 29 February lends its 28th.
fn stand_in(past: &BTreeMap<(i8, i8), DayRange>, day: Date) -> Option<DayRange> {
    let at = (day.month(), day.day());
    past.get(&at).or_else(|| if at == (2, 29) { past.get(&(2, 28)) } else { None }).copied()
}

/// Days of events and windows of one member, counted from 1 January of the season.
struct Member {
    events: Vec<Option<usize>>,
    windows: Vec<Option<(i32, i32)>>,
}

/// Members of a set of draws.
pub(super) struct Run<'a> {
    base: &'a Base<'a>,
    years: &'a [Year],
    draws: &'a [Draw],
    /// Forecast days, from 1 January.
    forecast: Vec<usize>,
}

impl Run<'_> {
    /// The year of a member, its forecast days off by a draw of their error.
    fn year(&self, member: usize) -> Cow<'_, Year> {
        let at = self.draws[member].year;
        if self.forecast.is_empty() {
            return Cow::Borrowed(&self.years[at]);
        }
        let (base, mut stream) = (self.base, chance::stream(self.base.setting.seed, "timing.ahead", member as u64));
        let days = &base.paths[at];
        Cow::Owned(base.forecast_error.on(&self.years[at], days, &self.forecast, &base.biology, &mut stream))
    }

    fn course<'y>(&'y self, member: usize, year: &'y Year) -> Course<'y> {
        let (draw, biology) = (&self.draws[member], &self.base.biology);
        Course::new(biology, year, draw.hatch(biology), draw.scale(biology), draw.leaf_z)
    }

    fn members(&self) -> Vec<Member> {
        let member = |i: usize| {
            let year = self.year(i);
            let course = self.course(i, &year);
            Member {
                events: Event::ALL.iter().map(|event| day_of(*event, &course)).collect(),
                windows: WindowKind::ALL.iter().map(|kind| self.base.rules.window(*kind, &course)).collect(),
            }
        };
        (0..self.draws.len()).into_par_iter().map(member).collect()
    }

    /// Event dates alone.
    pub(super) fn event_dates(&self) -> Vec<EventDates> {
        let member = |i: usize| {
            let year = self.year(i);
            let course = self.course(i, &year);
            Member { events: Event::ALL.iter().map(|event| day_of(*event, &course)).collect(), windows: Vec::new() }
        };
        self.events(&(0..self.draws.len()).into_par_iter().map(member).collect::<Vec<_>>())
    }

    fn events(&self, members: &[Member]) -> Vec<EventDates> {
        let dates =
            |i: usize| members.iter().map(move |m| m.events[i].and_then(|day| date(self.base.season, day as i32)));
        Event::ALL
            .iter()
            .enumerate()
            .map(|(i, event)| EventDates { event: *event, dates: dates(i).collect() })
            .collect()
    }

    fn windows(&self, members: &[Member]) -> Vec<Window> {
        let side = |i: usize, side: fn((i32, i32)) -> i32| {
            members.iter().map(|m| m.windows[i].and_then(|w| date(self.base.season, side(w)))).collect()
        };
        WindowKind::ALL
            .iter()
            .enumerate()
            .map(|(i, kind)| Window {
                kind: *kind,
                opens: side(i, |w| w.0),
                closes: side(i, |w| w.1),
                rule: self.base.rules.words(*kind, LeafHost::RedOak),
            })
            .collect()
    }

    /// Leaves of every host, and the flying window they open.
    fn hosts(&self) -> Vec<HostDates> {
        let (hosts, kind) = (LeafHost::ALL, WindowKind::AerialBtk);
        let (rules, season) = (&self.base.rules, self.base.season);
        let size = rules.leaf_to_fly();
        let member = |i: usize| {
            let year = self.year(i);
            let course = self.course(i, &year);
            let leaves: Vec<Option<usize>> = hosts.iter().map(|host| course.leaf(*host, size)).collect();
            (leaves, rules.by_host(kind, hosts, &course))
        };
        let members: Vec<_> = (0..self.draws.len()).into_par_iter().map(member).collect();
        let dates = |day: &dyn Fn(usize) -> Option<i32>| {
            (0..members.len()).map(|m| day(m).and_then(|day| date(season, day))).collect::<Vec<_>>()
        };
        let host = |(i, host): (usize, &LeafHost)| HostDates {
            host: *host,
            leaf: dates(&|m| members[m].0[i].map(|day| day as i32)),
            window: Window {
                kind,
                opens: dates(&|m| members[m].1[i].map(|w| w.0)),
                closes: dates(&|m| members[m].1[i].map(|w| w.1)),
                rule: rules.words(kind, *host),
            },
        };
        hosts.iter().enumerate().map(host).collect()
    }

    /// Other signs of hatch, forecast days as they stand.
    fn signs(&self) -> Vec<HatchSign> {
        let (base, season) = (self.base, self.base.season);
        let known = days_of(season).take_while(|day| base.station.known.contains_key(day));
        let seen = known.take_while(|day| !base.station.forecast.contains(day)).count().checked_sub(1);
        let sign = |sign: &Sign| {
            let (days, so_far) = sign.days(&base.paths, season, seen);
            let of = |draw: &Draw| days[draw.year].and_then(|day| date(season, day as i32));
            sign.with(seen.map(|_| so_far), self.draws.iter().map(of).collect())
        };
        base.signs.iter().map(sign).collect()
    }

    /// Mean stage shares for every day that all members know.
    fn stages(&self) -> Vec<StageDay> {
        let draws = self.draws.len();
        let days = self.years.iter().map(|year| year.larva.days()).min().unwrap_or(0);
        let starts: Vec<usize> = (0..draws).step_by(CHUNK).collect();
        let sum_of = |start: &usize| {
            let mut sums = vec![[0.0; 10]; days];
            for member in *start..(start + CHUNK).min(draws) {
                let year = self.year(member);
                let course = self.course(member, &year);
                for (day, sum) in sums.iter_mut().enumerate() {
                    add(sum, &course.stages_on(day));
                }
            }
            sums
        };
        let chunks: Vec<Vec<[f64; 10]>> = starts.par_iter().map(sum_of).collect();
        let mut total = vec![[0.0; 10]; days];
        for chunk in &chunks {
            total.iter_mut().zip(chunk).for_each(|(sum, part)| add(sum, part));
        }
        let mean = |sum: [f64; 10]| sum.map(|share| share / draws as f64);
        days_of(self.base.season).zip(total).map(|(date, sum)| StageDay { date, shares: mean(sum) }).collect()
    }
}

fn add(sum: &mut [f64; 10], part: &[f64; 10]) {
    sum.iter_mut().zip(part).for_each(|(a, b)| *a += b);
}

/// The day of an event in one member.
fn day_of(event: Event, course: &Course<'_>) -> Option<usize> {
    match event {
        Event::HatchTenth => course.hatched(0.1),
        Event::HatchHalf => course.hatched(0.5),
        Event::HatchNineTenths => course.hatched(0.9),
        Event::SecondInstar => course.molted(&[Molt::Second], 0.5),
        Event::ThirdInstarQuarter => course.molted(&[Molt::Third], 0.25),
        Event::ThirdInstar => course.molted(&[Molt::Third], 0.5),
        Event::FourthInstar => course.molted(&[Molt::Fourth], 0.5),
        Event::Pupae => course.molted(&[Molt::PupaM, Molt::PupaF], 0.5),
        Event::MaleFlight => course.molted(&[Molt::AdultM], 0.5),
        Event::FemaleMoths => course.molted(&[Molt::AdultF], 0.5),
        Event::LayingOver => course.molted(&[Molt::SpentF], 0.95),
        Event::RedOakBudbreak => course.budbreak(LeafHost::RedOak),
        Event::RedOakLeaf => course.leaf(LeafHost::RedOak, 0.4),
        Event::WhiteOakBudbreak => course.budbreak(LeafHost::WhiteOak),
        Event::WhiteOakLeaf => course.leaf(LeafHost::WhiteOak, 0.4),
    }
}

fn missing_note(window: &Window, draws: usize) -> Option<Problem> {
    let missing = window.opens.iter().filter(|day| day.is_none()).count();
    (missing > 0).then(|| {
        Problem::notice(
            "timing.no-window",
            format!(
                "in {missing} of {draws} draws there is no window for {}: it would close before it opens, or not open.",
                window.kind
            ),
            "Keep another way open for those years.",
        )
    })
}
