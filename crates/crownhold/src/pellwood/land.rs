//! Lake, river, smooth fields, no-spray areas and resources of the invented city.

use geo::{BooleanOps, Buffer, Centroid, Coord, LineString, MultiPolygon, Point, Polygon};

use crate::types::chance::{normal, stream, uniform};
use crate::types::{
    Area, Block, Hours, HoursSupply, LandUse, Length, Money, NoSprayArea, NoSprayId, NoSprayKind, Period, Person,
    Resources, Role, Team, Workforce,
};
use jiff::civil::Time;

/// South-west corner of the city, metres.
pub(super) const ORIGIN: (f64, f64) = (497_000.0, 4_815_000.0);
/// Blocks from west to east and from south to north.
pub(super) const GRID: (usize, usize) = (15, 13);
/// Side of a lattice cell, metres.
pub(super) const CELL: f64 = 400.0;
/// Names of the neighbourhoods, west to east, south row first.
pub(super) const NEIGHBOURHOODS: [&str; 8] =
    ["Alder Row", "Birchfield", "Coopers Landing", "Dunmore", "Elm Flats", "Foundry", "Gable Hill", "Harbor End"];

/// A smooth random field with mean 0 and variance 1, correlated over about `range` metres
/// (random Fourier features of a Gaussian kernel).
pub(super) struct Field {
    waves: Vec<(f64, f64, f64)>,
}

impl Field {
    pub(super) fn new(seed: u64, room: &str, range: f64) -> Self {
        let mut rng = stream(seed, room, 0);
        let waves = (0..60)
            .map(|_| (normal(&mut rng) / range, normal(&mut rng) / range, uniform(&mut rng) * std::f64::consts::TAU))
            .collect();
        Self { waves }
    }
    pub(super) fn at(&self, p: Point<f64>) -> f64 {
        let (x, y) = (p.x() - ORIGIN.0, p.y() - ORIGIN.1);
        let sum: f64 = self.waves.iter().map(|(a, b, phase)| libm::cos(a * x + b * y + phase)).sum();
        sum * (2.0 / self.waves.len() as f64).sqrt()
    }
}

fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x: ORIGIN.0 + x, y: ORIGIN.1 + y }
}

/// A polygon around a centre with a wavy outline.
fn blob(centre: (f64, f64), radius: f64, wave: f64) -> MultiPolygon<f64> {
    let ring: Vec<Coord<f64>> = (0..72)
        .map(|i| {
            let turn = f64::from(i) / 72.0 * std::f64::consts::TAU;
            let r = radius * (1.0 + wave * libm::sin(3.0 * turn) + 0.5 * wave * libm::cos(5.0 * turn));
            at(centre.0 + r * libm::cos(turn), centre.1 + r * libm::sin(turn))
        })
        .collect();
    MultiPolygon(vec![Polygon::new(LineString(ring), vec![])])
}

/// The lake in the north-east corner.
pub(super) fn lake() -> MultiPolygon<f64> {
    blob((5_900.0, 5_100.0), 1_250.0, 0.08)
}

/// The river from the south-west into the lake.
fn river() -> MultiPolygon<f64> {
    let line: LineString<f64> = (0..=40)
        .map(|i| {
            let t = f64::from(i) / 40.0;
            at(5_200.0 * t, 900.0 + 3_700.0 * t + 260.0 * libm::sin(9.0 * t))
        })
        .collect();
    line.buffer(18.0)
}

/// Everything that is not sprayed.
pub(super) fn no_spray(seed: u64, blocks: &[Block]) -> Vec<NoSprayArea> {
    let area = |id: String, kind, shape, note: &str| NoSprayArea {
        id: NoSprayId::new(id),
        kind,
        shape,
        buffer: None,
        note: note.to_owned(),
    };
    let mut all = vec![
        area("N-lake".to_owned(), NoSprayKind::Water, lake(), "Pell Lake"),
        area("N-river".to_owned(), NoSprayKind::Water, river(), "Little Pell River"),
        area("N-farm".to_owned(), NoSprayKind::OrganicFarm, blob((700.0, 3_300.0), 190.0, 0.05), "Organic farm"),
        area("N-fen".to_owned(), NoSprayKind::RareSpecies, blob((250.0, 450.0), 120.0, 0.1), "Fen with rare moths"),
    ];
    all[3].buffer = Some(Length::metres(150.0));
    let mut rng = stream(seed, "pellwood.no_spray", 0);
    for (i, school) in blocks.iter().filter(|b| b.land_use == LandUse::School).enumerate() {
        if let Some(c) = school.shape.centroid() {
            let local = (c.x() - ORIGIN.0, c.y() - ORIGIN.1);
            all.push(area(
                format!("N-school-{}", i + 1),
                NoSprayKind::School,
                blob(local, 70.0, 0.03),
                "School building",
            ));
        }
    }
    let homes: Vec<&Block> = blocks.iter().filter(|b| b.land_use == LandUse::Residential).collect();
    for i in 0..16 {
        let home = homes[(uniform(&mut rng) * homes.len() as f64) as usize % homes.len()];
        if let Some(c) = home.shape.centroid() {
            let local = (
                c.x() - ORIGIN.0 + 120.0 * (uniform(&mut rng) - 0.5),
                c.y() - ORIGIN.1 + 120.0 * (uniform(&mut rng) - 0.5),
            );
            let (kind, note) =
                if i < 2 { (NoSprayKind::Apiary, "Beehives") } else { (NoSprayKind::OptOut, "Owner opted out") };
            all.push(area(format!("N-parcel-{:02}", i + 1), kind, blob(local, 22.0, 0.0), note));
        }
    }
    all.sort_by(|a, b| a.id.cmp(&b.id));
    all
}

/// The city without its lake, for cutting blocks.
pub(super) fn dry(shape: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    shape.difference(&lake())
}

/// What Pellwood can spend.
pub(super) fn resources() -> Resources {
    let mut hours: Vec<HoursSupply> = Vec::new();
    let mut add = |who, period, neighbourhood: Option<&str>, h: f64| {
        hours.push(HoursSupply {
            who,
            period,
            neighbourhood: neighbourhood.map(str::to_owned),
            hours: Hours::hours(h),
        });
    };
    let keen = [90.0, 140.0, 60.0, 120.0, 150.0, 40.0, 180.0, 100.0];
    for (name, share) in NEIGHBOURHOODS.iter().zip(keen) {
        add(Workforce::Volunteers, Period::Winter, Some(name), share);
        add(Workforce::Volunteers, Period::Summer, Some(name), 2.0 * share);
    }
    add(Workforce::Volunteers, Period::Winter, None, 60.0);
    add(Workforce::Crew, Period::Winter, None, 500.0);
    add(Workforce::Crew, Period::Spring, None, 420.0);
    add(Workforce::Crew, Period::Summer, None, 480.0);
    Resources { budget: Some(Money::dollars(150_000.0)), most_sprayed: Some(Area::acres(2_000.0)), hours }
}

/// Roles instead of names: nobody in Pellwood is anybody.
pub(super) fn people() -> Vec<Person> {
    let person = |name: &str, role| Person { name: name.to_owned(), role, reach: String::new(), note: String::new() };
    vec![
        person("Aerial contractor", Role::Contractor),
        person("Crew lead 1", Role::CrewLead),
        person("Crew lead 2", Role::CrewLead),
        person("Operations manager", Role::Manager),
        person("Technician 1", Role::Technician),
        person("Technician 2", Role::Technician),
        person("Technician 3", Role::Technician),
        person("Volunteer lead, north", Role::VolunteerLead),
        person("Volunteer lead, south", Role::VolunteerLead),
    ]
}

/// Two pairs of volunteers in every neighbourhood, who meet in the middle of its list of blocks, and three paid crews.
pub(super) fn teams(blocks: &[Block]) -> Vec<Team> {
    let of = |name: &str| {
        let here: Vec<&Block> = blocks.iter().filter(|b| b.neighbourhood.as_deref() == Some(name)).collect();
        here.get(here.len() / 2).map(|b| b.id.clone())
    };
    let pair = |name: &str, n: usize| Team {
        name: format!("{name} pair {n}"),
        who: Workforce::Volunteers,
        people: 2,
        neighbourhood: Some(name.to_owned()),
        starts: of(name),
        ends: of(name),
        from: Time::constant(16, 0, 0, 0),
        to: Time::constant(19, 30, 0, 0),
        ladder: false,
        most: None,
        note: String::new(),
    };
    let yard = blocks.get(blocks.len() / 2).map(|b| b.id.clone());
    let crew = |n: usize| Team {
        name: format!("City crew {n}"),
        who: Workforce::Crew,
        people: 3,
        neighbourhood: None,
        starts: yard.clone(),
        ends: yard.clone(),
        from: Time::constant(15, 30, 0, 0),
        to: Time::constant(20, 30, 0, 0),
        ladder: true,
        ..pair("", 0)
    };
    let pairs = NEIGHBOURHOODS.iter().flat_map(|name| [pair(name, 1), pair(name, 2)]);
    let mut teams: Vec<Team> = (1..=3).map(crew).chain(pairs).collect();
    teams.sort_by(|a, b| a.name.cmp(&b.name));
    teams
}
