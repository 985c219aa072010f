//! A small invented programme with something in every table. Also what `examples/write_sample.rs` writes.

use crownhold::types::*;
use geo::{Coord, LineString, MultiLineString, MultiPolygon, Point, Polygon};
use jiff::civil::{Date, Time, date};

/// When and by whom the samples are made.
pub const WHEN: &str = "2026-11-02T14:30:00Z";
/// Author of the samples.
pub const WHO: &str = "A. Forester";

/// UTM zone 17N; nothing in it is a real place.
pub fn programme() -> Programme {
    Programme { name: "Pellwood".into(), season: 2027, epsg: 32617, units: UnitSystem::Us, invented: true }
}

/// A rectangle by its lower left corner and sides, in metres.
pub fn rectangle(x: f64, y: f64, wide: f64, high: f64) -> Polygon<f64> {
    let corner = |dx: f64, dy: f64| Coord { x: x + dx, y: y + dy };
    let ring = vec![corner(0.0, 0.0), corner(wide, 0.0), corner(wide, high), corner(0.0, high), corner(0.0, 0.0)];
    Polygon::new(LineString(ring), vec![])
}

/// A block of 200 m by 200 m with everything known; `i` sets place and name.
pub fn block(i: u32) -> Block {
    let share = |v| Share::new(v).unwrap();
    Block {
        id: BlockId::new(format!("B-{i:03}")),
        name: format!("Block {i}"),
        shape: MultiPolygon(vec![rectangle(400_000.0 + f64::from(i) * 250.0, 4_700_000.0, 200.0, 200.0)]),
        land_use: LandUse::Woodland,
        canopy: Some(share(0.62)),
        hosts: Some(HostShares { susceptible: share(0.5), resistant: share(0.3), immune: share(0.2) }),
        dwellings: Some(31),
        ownership: Ownership::Mixed,
        consent: Consent::Pending,
        stratum: Some("oak".into()),
        neighbourhood: Some("North Side".into()),
        elevation: Some(Length::feet(731.0)),
        built_up: Some(share(0.17)),
        survey_closed: Some(date(2026, 11, 30)),
    }
}

/// A tree on a 100-wide grid; trees with an odd number stand in no block.
pub fn tree(i: u32) -> Tree {
    Tree {
        id: TreeId::new(format!("T{i}")),
        block: i.is_multiple_of(2).then(|| "B-001".into()),
        place: Point::new(400_250.5 + f64::from(i % 100), 4_700_000.25 + f64::from(i / 100)),
        species: "Quercus rubra".into(),
        class: Some(HostClass::Susceptible),
        dbh: Some(Length::inches(14.5)),
        public: true,
    }
}

/// `n` days of weather from a first day on.
pub fn days(first: Date, n: u32) -> Vec<DayWeather> {
    let mut date = first;
    let mut out = Vec::new();
    for i in 0..n {
        let min = f64::from(i % 37) - 12.3;
        out.push(DayWeather {
            date,
            min: (i % 29 != 0).then_some(min),
            max: Some(min + 9.7),
            precipitation: None,
            snow: None,
            forecast: false,
        });
        date = date.tomorrow().unwrap();
    }
    out
}

/// A programme with something in every table.
pub fn records() -> Records {
    let mut records = Records::empty(programme());
    records.blocks = (1..=4).map(block).collect();
    let hole = rectangle(400_550.0, 4_700_050.0, 40.0, 40.0).exterior().clone();
    records.blocks[1].shape.0[0].interiors_push(hole);
    records.blocks[1].shape.0.push(rectangle(400_500.0, 4_700_300.0, 60.0, 60.0));
    records.blocks[3] = Block {
        canopy: None,
        hosts: None,
        dwellings: None,
        stratum: None,
        neighbourhood: None,
        elevation: None,
        built_up: None,
        survey_closed: None,
        ..block(4)
    };
    records.strata = vec![Stratum { id: "oak".into(), name: "Oak woods".into() }];
    records.trees = vec![Tree { block: None, class: None, dbh: None, public: false, ..tree(1) }, tree(2)];
    records.plots = plots();
    records.visits = visits();
    records.weather = weather();
    records.no_spray = vec![NoSprayArea {
        id: "W1".into(),
        kind: NoSprayKind::Water,
        shape: MultiPolygon(vec![rectangle(400_260.0, 4_700_010.0, 30.0, 12.0)]),
        buffer: Some(Length::feet(150.0)),
        note: "Mill pond; \"the duck\" pond".into(),
    }];
    let bend = LineString::from(vec![(400_000.0, 4_700_000.0), (400_150.0, 4_700_004.5), (400_300.0, 4_700_000.0)]);
    records.streets = vec![Street { id: "17".into(), name: "Mill Street".into(), lines: MultiLineString(vec![bend]) }];
    records.resources = resources();
    records.decisions = decisions();
    records.past = past();
    records.people = people();
    records.teams = teams();
    records.rounds = rounds();
    records.samples = samples();
    records.log = log();
    records
}

fn plots() -> Vec<Plot> {
    let methods = [
        PlotMethod::FixedRadius,
        PlotMethod::Square,
        PlotMethod::WholeLot,
        PlotMethod::Prism { basal_area_factor: 10.0 },
        PlotMethod::TimedWalk,
        PlotMethod::Burlap,
        PlotMethod::Trap,
    ];
    let plot = |(i, method): (usize, PlotMethod)| Plot {
        id: PlotId::new(format!("P{}", i + 1)),
        block: "B-001".into(),
        place: (i != 4).then(|| Point::new(400_300.0 + i as f64, 4_700_100.0)),
        method,
        area: method.is_area_count().then(|| Area::acres(0.025)),
    };
    methods.into_iter().enumerate().map(plot).collect()
}

fn visits() -> Vec<Visit> {
    let count = |substrate, new| Count { substrate, dbh: None, new, old: 3, out_of_reach: 2 };
    let visit = |id: &str, plot: &str, counts| Visit {
        id: id.into(),
        plot: plot.into(),
        date: date(2026, 10, 14),
        observer: "B. Ranger".into(),
        counts,
        note: String::new(),
    };
    let tallied = Count { dbh: Some(Length::inches(11.0)), ..count(Substrate::Trees, 7) };
    vec![
        visit("V1", "P1", vec![count(Substrate::Trees, 12), count(Substrate::Ground, 0), count(Substrate::Trees, 1)]),
        visit("V2", "P2", vec![]),
        visit("V3", "P4", vec![tallied]),
    ]
}

fn weather() -> Vec<WeatherSeries> {
    let series = |station: &str, n| WeatherSeries {
        station: station.into(),
        name: format!("Station {station}"),
        elevation: Some(Length::metres(212.0)),
        latitude: Some(42.44),
        longitude: Some(-81.9),
        days: days(date(2025, 12, 25), n),
    };
    // Not in name order: the first one is the one to use.
    vec![series("Z-main", 60), WeatherSeries { elevation: None, latitude: None, longitude: None, ..series("A-old", 3) }]
}

fn resources() -> Resources {
    let supply = |who, period, neighbourhood: Option<&str>, hours| HoursSupply {
        who,
        period,
        neighbourhood: neighbourhood.map(Into::into),
        hours: Hours::hours(hours),
    };
    Resources {
        budget: Some(Money::dollars(120_000.0)),
        most_sprayed: Some(Area::acres(900.0)),
        hours: vec![
            supply(Workforce::Volunteers, Period::Winter, Some("North Side"), 80.0),
            supply(Workforce::Crew, Period::Spring, None, 240.5),
        ],
    }
}

fn decisions() -> Vec<FixedDecision> {
    let decision = |block: &str, rule, note: &str| FixedDecision { block: block.into(), rule, note: note.into() };
    vec![
        decision("B-001", DecisionRule::NeverFly, "hospital"),
        decision("B-001", DecisionRule::Never(Tactic::Bands), ""),
        decision("B-002", DecisionRule::Take("scraping + bands".into()), "pilot"),
        decision("B-003", DecisionRule::AlwaysFly, ""),
    ]
}

fn people() -> Vec<Person> {
    let person =
        |name: &str, role, reach: &str| Person { name: name.into(), role, reach: reach.into(), note: String::new() };
    vec![
        person("Crew 2", Role::CrewLead, ""),
        Person { note: "out in July".into(), ..person("Manager", Role::Manager, "555-0100; \"desk\"") },
    ]
}

fn teams() -> Vec<Team> {
    let team = |name: &str, who| Team {
        name: name.into(),
        who,
        people: 2,
        neighbourhood: Some("North".into()),
        starts: Some("B-001".into()),
        ends: None,
        from: Time::constant(15, 30, 0, 0),
        to: Time::constant(20, 0, 0, 0),
        ladder: false,
        most: Some(80),
        note: "car \"7\"".into(),
    };
    vec![
        Team { ladder: true, most: None, neighbourhood: None, ..team("Crew", Workforce::Crew) },
        team("North", Workforce::Volunteers),
    ]
}

fn rounds() -> Vec<Round> {
    let stop = |tree: &str, minute| RoundStop { tree: tree.into(), at: Time::constant(16, minute, 0, 0) };
    vec![Round {
        date: Date::constant(2027, 6, 20),
        work: RoundWork::Serve,
        team: "North".into(),
        stops: vec![stop("T-1", 5), stop("T \"2\"", 9)],
        back: Time::constant(17, 0, 0, 0),
        travel: Hours::minutes(31.25),
        way: Length::metres(1_234.5),
    }]
}

fn past() -> Vec<PastSeason> {
    let past = |season, block: &str| PastSeason {
        season,
        block: block.into(),
        density: Some(MassesPerArea::per_acre(317.0)),
        treatment: "aerial Btk once".into(),
        defoliation: Share::new(0.4),
        sprayed: Some(Area::acres(9.9)),
    };
    vec![past(2025, "B-002"), PastSeason { density: None, defoliation: None, sprayed: None, ..past(2026, "B-001") }]
}

fn samples() -> Vec<FieldSample> {
    let sample = |id: &str, seen| FieldSample {
        id: id.into(),
        date: Date::constant(2027, 5, 12),
        block: Some("B-001".into()),
        place: "south side of \"the\" green".into(),
        observer: "RK".into(),
        seen,
        note: String::new(),
    };
    vec![
        sample("1", Seen::FirstHatch),
        FieldSample { block: None, ..sample("2", Seen::NoHatch) },
        sample("3", Seen::Instars(InstarCounts([18, 31, 1, 0, 0, 0, 2]))),
        sample("4", Seen::Leaf { host: LeafHost::WhiteOak, size: Share::clamped(0.41) }),
    ]
}

fn log() -> Log {
    let day = Date::constant(2027, 6, 20);
    let bands = BandVisit {
        id: "1".into(),
        date: day,
        block: "B-001".into(),
        tree: Some("T-1".into()),
        work: BandWork::Look,
        bands: 1,
        found: Catch { small: 2, large: 31, pupae: 4, masses: 0, fungus: 3, virus: 1 },
        hours: Some(Hours::minutes(4.0)),
        who: "volunteers, \"north\"".into(),
        place: Some(Point::new(500_012.5, 4_650_003.25)),
        note: String::new(),
    };
    let scraping = ScrapingVisit {
        id: "1".into(),
        date: Date::constant(2027, 1, 16),
        block: "B-002".into(),
        tree: Some("T-1".into()),
        low: 212,
        high: 30,
        left: 5,
        trees: 17,
        hours: None,
        who: "crew".into(),
        place: None,
        note: "after rain".into(),
    };
    let first = Application {
        id: "2027-01".into(),
        version: 1,
        reason: String::new(),
        closed: None,
        method: SprayMethod::Air,
        blocks: vec!["B-001".into(), "B, \"2\"".into()],
        place: "Mill Woods".into(),
        date: day,
        from: Some(Time::constant(5, 45, 0, 0)),
        to: Some(Time::constant(9, 5, 0, 0)),
        product: "Btk".into(),
        registration: "00000-00".into(),
        formulation: "aqueous".into(),
        rate: "36 BIU an acre".into(),
        total: "120 gallons".into(),
        area: Some(Area::acres(160.0)),
        wind: Some(Speed::miles_per_hour(4.0)),
        wind_from: Some(270.0),
        temperature: Some(11.5),
        humidity: Share::new(0.72),
        applicator: "A. Pilot".into(),
        licence: "L-1".into(),
        craft: "helicopter".into(),
        note: String::new(),
    };
    let second = Application {
        version: 2,
        reason: "wind misread".into(),
        closed: None,
        to: None,
        area: None,
        wind: None,
        wind_from: None,
        temperature: None,
        humidity: None,
        blocks: Vec::new(),
        ..first.clone()
    };
    let notice = NoticeSent {
        id: "1".into(),
        date: Date::constant(2027, 4, 20),
        audience: Audience::Beekeeper,
        means: Means::Letter,
        blocks: vec!["B-001".into()],
        number: 3,
        who: "office".into(),
        note: "receipt 17".into(),
    };
    Log {
        bands: vec![
            BandVisit { id: "2".into(), tree: None, hours: None, bands: 40, work: BandWork::PutUp, ..bands.clone() },
            bands,
        ]
        .into_iter()
        .rev()
        .collect(),
        scraping: vec![scraping],
        applications: vec![first, second],
        notices: vec![notice],
    }
}
