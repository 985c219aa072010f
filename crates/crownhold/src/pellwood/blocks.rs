//! Blocks of the invented city: a lattice with shaken corners, cut by the lake.

use geo::{Area as _, Centroid, Coord, LineString, MultiPolygon, Point, Polygon};
use jiff::civil::Date;

use super::land::{CELL, Field, GRID, NEIGHBOURHOODS, ORIGIN, dry};
use crate::types::chance::{stream, uniform};
use crate::types::{Block, BlockId, Consent, HostShares, LandUse, Length, Ownership, Share, Stratum, StratumId};

pub(super) fn blocks(seed: u64, season: i16) -> Vec<Block> {
    let corners = corners(seed);
    let fields = Fields {
        wild: Field::new(seed, "pellwood.wild", 1_500.0),
        oak: Field::new(seed, "pellwood.oak", 900.0),
        hill: Field::new(seed, "pellwood.hill", 2_000.0),
    };
    let mut blocks = Vec::new();
    for row in 0..GRID.1 {
        for column in 0..GRID.0 {
            let ring = [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(c, r)| corners[(row + r) * (GRID.0 + 1) + column + c]);
            let shape = dry(&MultiPolygon(vec![Polygon::new(LineString(ring.to_vec()), vec![])]));
            if shape.unsigned_area() > 0.3 * CELL * CELL {
                blocks.push(block(seed, season, row, column, shape, &fields));
            }
        }
    }
    blocks.sort_by(|a, b| a.id.cmp(&b.id));
    blocks
}

struct Fields {
    wild: Field,
    oak: Field,
    hill: Field,
}

fn corners(seed: u64) -> Vec<Coord<f64>> {
    let mut rng = stream(seed, "pellwood.corners", 0);
    let mut shake = || 120.0 * (uniform(&mut rng) - 0.5);
    (0..=GRID.1)
        .flat_map(|row| (0..=GRID.0).map(move |column| (row, column)))
        .map(|(row, column)| Coord {
            x: ORIGIN.0 + CELL * column as f64 + shake(),
            y: ORIGIN.1 + CELL * row as f64 + shake(),
        })
        .collect()
}

fn block(seed: u64, season: i16, row: usize, column: usize, shape: MultiPolygon<f64>, fields: &Fields) -> Block {
    let mut rng = stream(seed, "pellwood.block", (row * GRID.0 + column) as u64);
    let centre = shape.centroid().unwrap_or(Point::new(ORIGIN.0, ORIGIN.1));
    let edge = column < 2 || row < 2 || row + 1 == GRID.1;
    let land_use = land_use(edge, fields.wild.at(centre), uniform(&mut rng));
    let wood = matches!(land_use, LandUse::Woodland | LandUse::Timber);
    let canopy = if wood { 0.8 + 0.15 * uniform(&mut rng) } else { 0.42 + 0.36 * uniform(&mut rng) };
    let oak = 1.0 / (1.0 + libm::exp(-(fields.oak.at(centre) + if wood { 0.4 } else { -0.2 })));
    let susceptible = (0.12 + 0.75 * oak).min(0.9);
    let immune = (1.0 - susceptible) * (0.2 + 0.3 * uniform(&mut rng));
    let public = matches!(land_use, LandUse::Park | LandUse::School) || (wood && uniform(&mut rng) < 0.6);
    let consent = match (public, uniform(&mut rng)) {
        (true, _) => Consent::NotNeeded,
        (_, u) if u < 0.05 => Consent::Refused,
        (_, u) if u < 0.12 => Consent::Pending,
        _ => Consent::Given,
    };
    let dwellings = match land_use {
        LandUse::Residential => 60 + (140.0 * uniform(&mut rng)) as u32,
        LandUse::Woodland | LandUse::Timber => (6.0 * uniform(&mut rng)) as u32,
        _ => 0,
    };
    let id = format!("{}{:02}", char::from(b'A' + row as u8), column + 1);
    Block {
        name: id.clone(),
        id: BlockId::new(&id),
        shape,
        land_use,
        canopy: Some(Share::clamped(canopy)),
        hosts: Some(HostShares {
            susceptible: Share::clamped(susceptible),
            resistant: Share::clamped(1.0 - susceptible - immune),
            immune: Share::clamped(immune),
        }),
        dwellings: Some(dwellings),
        ownership: if public { Ownership::Public } else { Ownership::Private },
        consent,
        stratum: Some(StratumId::new(if wood {
            "woods"
        } else if susceptible > 0.45 {
            "town, oak"
        } else {
            "town, mixed"
        })),
        neighbourhood: Some(NEIGHBOURHOODS[(row * 2 / GRID.1) * 4 + column * 4 / GRID.0].to_owned()),
        elevation: Some(Length::metres(195.0 + 18.0 * fields.hill.at(centre))),
        built_up: Some(Share::clamped(if wood { 0.03 } else { 0.25 + 0.3 * uniform(&mut rng) })),
        survey_closed: (uniform(&mut rng) > 0.05).then(|| Date::constant(season - 1, 11, 14)),
    }
}

fn land_use(edge: bool, wild: f64, u: f64) -> LandUse {
    if edge && wild > 0.6 {
        LandUse::Timber
    } else if (edge && wild > -0.6) || wild > 1.3 {
        LandUse::Woodland
    } else if u < 0.07 {
        LandUse::Park
    } else if u < 0.115 {
        LandUse::School
    } else if u < 0.15 {
        LandUse::Other
    } else {
        LandUse::Residential
    }
}

pub(super) fn strata() -> Vec<Stratum> {
    ["town, mixed", "town, oak", "woods"].map(|s| Stratum { id: StratumId::new(s), name: s.to_owned() }).to_vec()
}
