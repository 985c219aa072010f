//! The live layers: records and the current plan as features, in the programme's own system.

use std::collections::BTreeMap;

use crownhold::field::aerial::spray_blocks;
use crownhold::survey::counts::visits_used;
use crownhold::tactics::no_spray_buffer;
use crownhold::types::{Area, Block, HostClass, Length, Plot, Round, Tree, TreeId, Visit};
use geo::{Area as _, Coord, Geometry, LineString};
use serde_json::{Map, Value, json};

use crate::desk::state::Season;
use crate::wire::round;

/// A layer: what it is called, what it holds, and how it is made.
pub(super) struct Layer {
    /// Id in addresses.
    pub id: &'static str,
    /// Title.
    pub title: &'static str,
    /// What it holds.
    pub about: &'static str,
    /// Its features as the season is now.
    pub features: fn(&Season) -> Vec<Item>,
}

/// One feature.
pub(super) struct Item {
    /// Id, the same as long as the record is there.
    pub id: String,
    /// Shape in the programme's system; none for a record without a place.
    pub geometry: Option<Geometry<f64>>,
    /// What is known.
    pub properties: Map<String, Value>,
}

/// Every layer.
pub(super) const LAYERS: [Layer; 6] = [
    Layer {
        id: "blocks",
        title: "Blocks",
        about: "Management blocks with consent, egg-mass density and what the current plan does there",
        features: blocks,
    },
    Layer { id: "trees", title: "Trees", about: "The tree inventory with host classes", features: trees },
    Layer { id: "plots", title: "Survey plots", about: "Plots with the count that is used", features: plots },
    Layer {
        id: "no-spray",
        title: "No-spray areas",
        about: "Ground that is not sprayed, with the distance kept from it",
        features: no_spray,
    },
    Layer {
        id: "spray-blocks",
        title: "Spray blocks",
        about: "Ground that the current plan sprays from the air, no-spray areas and their buffers cut out",
        features: flown,
    },
    Layer {
        id: "rounds",
        title: "Rounds",
        about: "Ways of teams from tree to tree, as planned for a day",
        features: rounds,
    },
];

/// Properties from a JSON object.
fn properties(value: Value) -> Map<String, Value> {
    if let Value::Object(map) = value { map } else { Map::new() }
}

fn acres(area: Area) -> f64 {
    round(area.as_acres())
}

fn blocks(season: &Season) -> Vec<Item> {
    let plan: BTreeMap<_, _> =
        season.current().iter().flat_map(|(made, _)| made.plan.blocks.iter().map(|b| (b.block.as_str(), b))).collect();
    let one = |(i, block): (usize, &Block)| {
        let density = season.stages.as_ref().ok().map(|s| &s.density.blocks[i].1);
        let planned = plan.get(block.id.as_str());
        let properties = properties(json!({
            "id": block.id.as_str(),
            "name": block.name,
            "land_use": block.land_use.word(),
            "acres": acres(block.area()),
            "canopy": block.canopy.map(|c| round(c.value())),
            "susceptible": block.hosts.map(|h| round(h.susceptible.value())),
            "consent": block.consent.word(),
            "neighbourhood": block.neighbourhood,
            "count_closed": block.survey_closed.map(|d| d.to_string()),
            "masses_per_acre": density.map(|d| round(d.estimate.as_per_acre())),
            "masses_per_acre_low": density.map(|d| round(d.low.as_per_acre())),
            "masses_per_acre_high": density.map(|d| round(d.high.as_per_acre())),
            "option": planned.map(|p| p.bundle.key()),
            "sprayed_acres": planned.map(|p| acres(p.sprayed)),
            "chance_over_tolerance": planned.map(|p| round(p.chance_over)),
            "why": planned.map(|p| p.why.clone()),
        }));
        Item { id: block.id.to_string(), geometry: Some(block.shape.clone().into()), properties }
    };
    season.records.blocks.iter().enumerate().map(one).collect()
}

fn trees(season: &Season) -> Vec<Item> {
    let one = |tree: &Tree| Item {
        id: tree.id.to_string(),
        geometry: Some(tree.place.into()),
        properties: properties(json!({
            "id": tree.id.as_str(),
            "block": tree.block.as_ref().map(ToString::to_string),
            "species": tree.species,
            "host": tree.class.map(HostClass::word),
            "trunk_inches": tree.dbh.map(|d| round(d.as_inches())),
            "public": tree.public,
        })),
    };
    season.records.trees.iter().map(one).collect()
}

fn plots(season: &Season) -> Vec<Item> {
    let visits: BTreeMap<&str, &Visit> =
        visits_used(&season.records, &mut Vec::new()).into_iter().map(|(p, v)| (p.id.as_str(), v)).collect();
    let one = |plot: &Plot| {
        let visit = visits.get(plot.id.as_str());
        let sum = |of: fn(&crownhold::types::Count) -> u32| visit.map(|v| v.counts.iter().map(of).sum::<u32>());
        Item {
            id: plot.id.to_string(),
            geometry: plot.place.map(Into::into),
            properties: properties(json!({
                "id": plot.id.as_str(),
                "block": plot.block.as_str(),
                "method": plot.method.word(),
                "square_metres": plot.area.map(|a| round(a.as_square_metres())),
                "counted": visit.map(|v| v.date.to_string()),
                "new": sum(|c| c.new),
                "old": sum(|c| c.old),
                "out_of_reach": sum(|c| c.out_of_reach),
            })),
        }
    };
    season.records.plots.iter().map(one).collect()
}

fn no_spray(season: &Season) -> Vec<Item> {
    let records = &season.records;
    let one = |area: &crownhold::types::NoSprayArea| Item {
        id: area.id.to_string(),
        geometry: Some(area.shape.clone().into()),
        properties: properties(json!({
            "id": area.id.as_str(),
            "kind": area.kind.word(),
            "buffer_metres": round(no_spray_buffer(area, &records.parameters).as_metres()),
            "note": area.note,
        })),
    };
    records.no_spray.iter().map(one).collect()
}

fn flown(season: &Season) -> Vec<Item> {
    let Some((made, _)) = season.current() else { return Vec::new() };
    let one = |s: crownhold::field::aerial::SprayBlock| Item {
        id: s.id.clone(),
        properties: properties(json!({
            "id": s.id,
            "blocks": s.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
            "flights": s.flights,
            "acres": acres(Area::square_metres(s.shape.unsigned_area())),
        })),
        geometry: Some(s.shape.into()),
    };
    spray_blocks(&made.plan, &season.records).into_iter().map(one).collect()
}

fn rounds(season: &Season) -> Vec<Item> {
    let places: BTreeMap<&TreeId, Coord<f64>> =
        season.records.trees.iter().map(|t| (&t.id, Coord::from(t.place))).collect();
    let one = |r: &Round| {
        let line: Vec<Coord<f64>> = r.stops.iter().filter_map(|s| places.get(&s.tree).copied()).collect();
        Item {
            id: format!("{} {} {}", r.date, r.work, r.team),
            // A line has two ends.
            geometry: (line.len() > 1).then(|| LineString(line).into()),
            properties: properties(json!({
                "date": r.date.to_string(),
                "work": r.work.word(),
                "team": r.team,
                "trees": r.stops.len(),
                "back": r.back.strftime("%H:%M").to_string(),
                "way_metres": round(Length::as_metres(r.way)),
            })),
        }
    };
    season.records.rounds.iter().map(one).collect()
}
