//! Simulated truth: springs drawn from the model, samples drawn from them, and what is learned.

#![allow(clippy::unwrap_used)]

use jiff::civil::date;

use super::super::stages::Molt;
use super::*;
use crate::Setting;
use crate::timing::course::Course;
use crate::timing::ensemble::{Base, Field};
use crate::types::chance::{self, Stream};
use crate::types::{DayWeather, InstarCounts, LeafHost, Seen, Share, StationId, WeatherSeries};

const SEASON: i16 = 2026;

/// Made-up weather of twenty years and of a season that runs as one of them did.
fn place(like: i16) -> WeatherSeries {
    let mean = |day: Date| {
        let year = if day.year() == SEASON { like } else { day.year() };
        let (t, year) = (f64::from(day.day_of_year()), f64::from(year));
        let season = 9.0 - 15.0 * ((t - 20.0) * std::f64::consts::TAU / 365.25).cos();
        season + 4.0 * (t / 9.0 + 1.7 * year).sin() + 2.0 * (t / 2.3 + 0.9 * year * year).sin()
    };
    let day = |date| DayWeather {
        date,
        min: Some(mean(date) - 6.0),
        max: Some(mean(date) + 6.0),
        precipitation: None,
        snow: None,
        forecast: false,
    };
    let days = date(2006, 1, 1).series(jiff::Span::new().days(1)).take_while(|day| *day <= date(2026, 12, 31));
    WeatherSeries {
        station: StationId::new("S"),
        name: "Made up".to_owned(),
        elevation: None,
        latitude: None,
        longitude: None,
        days: days.map(day).collect(),
    }
}

fn sample(id: &str, date: Date, seen: Seen) -> FieldSample {
    FieldSample {
        id: SampleId::new(id),
        date,
        block: None,
        place: String::new(),
        observer: String::new(),
        seen,
        note: String::new(),
    }
}

/// Counts of one place: an urn into which every larva drawn goes back with another of its kind.
fn counted(shares: &[f64], clumping: f64, n: u32, stream: &mut Stream) -> InstarCounts {
    let whole = (1.0 - clumping) / clumping;
    let mut counts = [0_u32; 7];
    for drawn in 0..n {
        let mut left = chance::uniform(stream) * (whole + f64::from(drawn));
        let mut taken = 6;
        for (i, share) in shares.iter().enumerate() {
            left -= whole * share + f64::from(counts[i]);
            if left < 0.0 {
                taken = i;
                break;
            }
        }
        counts[taken] += 1;
    }
    InstarCounts(counts)
}

struct World {
    parameters: Parameters,
    weather: [WeatherSeries; 1],
}

/// A true spring: its hatch and third instar as moments, and five samples of it.
fn truth(world: &World, replicate: u64) -> ([f64; 2], Vec<FieldSample>) {
    let whole = Setting { today: date(SEASON, 12, 31), seed: 10_000 + replicate, draws: 1 };
    let base = Base::new(&world.weather, &world.parameters, SEASON, &whole).unwrap();
    let draw = base.prior(0);
    let (year, hatch, scale) = (&base.years[0], draw.hatch(&base.biology), draw.scale(&base.biology));
    let course = Course::new(&base.biology, year, hatch, scale, draw.leaf_z);
    let mut stream = chance::stream(replicate, "test.samples", 0);
    let mut samples = Vec::new();
    // Looked at every third day: the first look after the place's own first hatch.
    let own = hatch.heat(0.1) + 20.0 * chance::normal(&mut stream);
    let seen = year.egg.day_reaching(own).unwrap().next_multiple_of(3);
    let on = |day: usize| super::super::windows::date(SEASON, day as i32).unwrap();
    samples.push(sample("hatch", on(seen), Seen::FirstHatch));
    for (i, days) in [8_usize, 14, 20].into_iter().enumerate() {
        let day = seen + days;
        let spring = likelihood::Spring { biology: &base.biology, year, hatch, scale, leaf_z: draw.leaf_z };
        let model = SampleModel::read(&world.parameters);
        let counts = counted(&model.instars(day, &spring).0, 0.1, 40, &mut stream);
        samples.push(sample(&format!("instars {i}"), on(day), Seen::Instars(counts)));
    }
    // Rated when the leaves of the rated tree are at 40 %.
    let heat = base.biology.leaves.mark(LeafHost::RedOak, 0.4).unwrap().heat(draw.leaf_z);
    let day = year.leaf.day_reaching(heat + 20.0 / 1.8 * chance::normal(&mut stream)).unwrap();
    let size = Share::clamped(0.4);
    samples.push(sample("leaf", on(day), Seen::Leaf { host: LeafHost::RedOak, size }));
    (moments_of(&course, year), samples)
}

fn moments_of(course: &Course<'_>, year: &Year) -> [f64; 2] {
    let hatch = year.egg.moment_of(course.half_hatch()).unwrap();
    [hatch, course.moment_molted(&[Molt::Third], 0.5).unwrap()]
}

/// The 5 and 95 % points of half hatch and of the third instar over some draws.
fn ranges(base: &Base<'_>, draws: &[Draw]) -> [[f64; 2]; 2] {
    let of = |draw: &Draw| {
        let year = &base.years[draw.year];
        let course =
            Course::new(&base.biology, year, draw.hatch(&base.biology), draw.scale(&base.biology), draw.leaf_z);
        moments_of(&course, year)
    };
    let all: Vec<[f64; 2]> = draws.iter().map(of).collect();
    [0, 1].map(|k| {
        let days: Vec<f64> = all.iter().map(|m| m[k]).collect();
        [0.05, 0.95].map(|p| crate::types::draws::quantile(&days, p))
    })
}

fn world(like: i16) -> World {
    World { parameters: Parameters::defaults(), weather: [place(like)] }
}

/// Identity of Bayes: when truth and samples come from the model, a 90 % range holds the truth 9 times in 10. 240
/// replicates have a binomial spread of 1.9 %; the bounds 84 and 96 % are three of them away.
#[test]
fn ninety_percent_ranges_hold_the_truth_nine_times_in_ten() {
    let (mut inside, mut narrower, n) = ([0, 0], [0.0, 0.0], 240);
    for replicate in 0..n {
        // Each of the years that may follow is the one that does, equally often.
        let world = world(2006 + (replicate % 20) as i16);
        let (truth, samples) = truth(&world, replicate);
        let last = samples.iter().map(|s| s.date).max().unwrap();
        let setting = Setting { today: last, seed: replicate, draws: 300 };
        let base = Base::new(&world.weather, &world.parameters, SEASON, &setting).unwrap();
        let plain: Vec<Draw> = (0..300).map(|i| base.prior(i)).collect();
        let (lesson, _) = base.learn(Field { samples: &samples, blocks: &[] }, &world.parameters);
        let (before, after) = (ranges(&base, &plain), ranges(&base, &lesson.unwrap().draws));
        for k in 0..2 {
            inside[k] += i32::from(after[k][0] <= truth[k] && truth[k] <= after[k][1]);
            narrower[k] += (after[k][1] - after[k][0]) / (before[k][1] - before[k][0]) / n as f64;
        }
    }
    let covered = inside.map(|i| f64::from(i) / n as f64);
    println!("covered {covered:?}, width against the prior {narrower:?}");
    assert!(covered.iter().all(|c| (0.84..=0.96).contains(c)), "{covered:?}");
    assert!(narrower.iter().all(|w| *w < 0.8), "{narrower:?}");
}

fn learned(samples: &[FieldSample], today: Date) -> (Lesson, Vec<Problem>) {
    let world = world(2015);
    let setting = Setting { today, seed: 5, draws: 300 };
    let base = Base::new(&world.weather, &world.parameters, SEASON, &setting).unwrap();
    let (lesson, notes) = base.learn(Field { samples, blocks: &[] }, &world.parameters);
    (lesson.unwrap(), notes)
}

fn instars(id: &str, date: Date, counts: [u32; 7]) -> FieldSample {
    sample(id, date, Seen::Instars(InstarCounts(counts)))
}

/// The middle spring of the place, and one look that is three weeks ahead of it.
#[test]
fn a_sample_against_the_others_is_outvoted_and_moves_nothing() {
    let world = world(2015);
    let mut samples = truth(&world, 3).1;
    let last = samples.iter().map(|s| s.date).max().unwrap();
    let (good, _) = learned(&samples, last);
    assert!(good.samples.iter().all(|s| s.flag.is_none()), "{:?}", good.samples);
    let day = samples.iter().find(|s| s.id.as_str() == "instars 1").unwrap().date;
    samples.push(instars("odd", day, [0, 0, 0, 3, 30, 7, 0]));
    let (bad, _) = learned(&samples, last);
    let odd = bad.samples.iter().find(|s| s.sample.as_str() == "odd").unwrap();
    assert_eq!(odd.flag, Some(Flag::Outvoted), "{odd:?}");
    assert!(odd.wrong > 0.95 && odd.moved.iter().all(|m| m.days.is_none_or(|d| d.abs() < 0.5)), "{odd:?}");
    assert!(odd.moved[1].alone[1].is_some());
    let others = bad.samples.iter().filter(|s| s.sample.as_str() != "odd");
    assert!(others.clone().all(|s| s.flag.is_none()), "{:?}", others.collect::<Vec<_>>());
}

/// Two looks of one day that cannot both be: neither wins, both are named, and both dates stay possible.
#[test]
fn two_that_contradict_each_other_leave_both_possible() {
    let day = date(SEASON, 5, 25);
    let samples = [instars("early", day, [0, 3, 30, 7, 0, 0, 0]), instars("late", day, [38, 2, 0, 0, 0, 0, 0])];
    let (lesson, _) = learned(&samples, day);
    for verdict in &lesson.samples {
        assert_eq!(verdict.flag, Some(Flag::Contradicts), "{:?}", lesson.samples);
    }
    let alone = |i: usize| lesson.samples[i].moved[1].alone[1].unwrap();
    assert!((alone(1) - alone(0)).get_days() > 7, "{:?}", lesson.samples);
}

/// Pupae under bands say that the season is far, late larvae alone that it is not; and either says less than larvae picked
/// from the trees.
#[test]
fn a_catch_under_bands_bends_the_dates_a_little() {
    let day = date(SEASON, 6, 30);
    let alone = |seen: Seen| learned(&[sample("one", day, seen)], day).0.samples[0].moved[1].alone.map(Option::unwrap);
    let bands = |late, pupae| alone(Seen::UnderBands { late, pupae });
    let (pupae, larvae) = (bands(2, 38), bands(40, 0));
    assert!((larvae[1] - pupae[1]).get_days() >= 3, "{larvae:?} {pupae:?}");
    let picked = alone(Seen::Instars(InstarCounts([0, 0, 0, 10, 20, 10, 0])));
    let width = |range: [Date; 3]| (range[2] - range[0]).get_days();
    assert!(width(larvae) > width(picked), "{larvae:?} {picked:?}");
    let (_, notes) = learned(&[sample("none", day, Seen::UnderBands { late: 1, pupae: 0 })], day);
    assert!(notes.is_empty());
}

#[test]
fn instars_of_two_places_in_one_sample_are_flagged() {
    let day = date(SEASON, 5, 25);
    let (lesson, _) = learned(&[instars("both", day, [20, 0, 0, 0, 20, 0, 0])], day);
    assert_eq!(lesson.samples[0].flag, Some(Flag::Mixed));
}

/// No look is far enough out to leave only a handful of members.
#[test]
fn the_members_stay_many() {
    for (month, counts) in [(4, [0, 40, 0, 0, 0, 0, 0]), (5, [1, 20, 19, 0, 0, 0, 0]), (6, [40, 0, 0, 0, 0, 0, 0])] {
        let day = date(SEASON, month, 20);
        let (lesson, _) = learned(&[instars("one", day, counts), instars("two", day, counts)], day);
        assert!(lesson.effective > ENOUGH_MEMBERS, "{month} {}", lesson.effective);
        assert_eq!(lesson.draws.len(), 300);
    }
}

#[test]
fn what_cannot_be_used_is_said() {
    let leaf = |size| Seen::Leaf { host: LeafHost::WhiteOak, size: Share::clamped(size) };
    let samples =
        [sample("small", date(SEASON, 5, 1), leaf(0.01)), instars("one", date(SEASON, 5, 20), [9, 0, 0, 0, 0, 0, 0])];
    let (lesson, notes) = learned(&samples, date(SEASON, 6, 1));
    assert_eq!(lesson.samples.len(), 1);
    insta::assert_snapshot!(notes.iter().map(|n| format!("{n}\n")).collect::<String>());
}
