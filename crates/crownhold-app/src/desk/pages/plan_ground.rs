//! The spray blocks of a plan, and the plan as map layers to take along.

use std::sync::Arc;

use axum::extract::{Path, Query};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::IntoResponse as _;
use crownhold::field::aerial::spray_blocks;
use crownhold::plan::Groups;
use crownhold::types::Area;
use crownhold_data::formats::zipped;
use crownhold_print::wording::grouped;
use geo::Area as _;

use super::plan::Which;
use crate::actions::map_files::files;
use crate::actions::plan::Made;
use crate::desk::shell::{Answer, Refused, Visit};
use crate::desk::state::{Season, off};

/// A spray block as a line.
pub(super) struct SprayRow {
    pub id: String,
    pub blocks: String,
    pub flights: u32,
    pub area: String,
    pub kept_off: String,
    pub set_up: String,
    pub turns: String,
    pub per_acre: String,
}

/// The spray blocks, earliest ground first.
pub(super) fn spray_rows(season: &Season, made: &Made) -> Vec<SprayRow> {
    let w = season.wording();
    let set_up = made.stages.options.flying.set_up.as_dollars();
    let price = season.records.parameters.value("aerial.price").mean();
    let unit = match w.area_unit() {
        "ha" => 1.0 / Area::hectares(1.0).as_acres(),
        _ => 1.0,
    };
    let choice: Vec<usize> = made.plan.blocks.iter().map(|b| b.option).collect();
    let groups = Groups::new(&made.stages.options, &choice);
    let turns_of = |s: &crownhold::field::aerial::SprayBlock| {
        let first = made.plan.blocks.iter().position(|b| s.blocks.contains(&b.block));
        let group = groups.members().iter().position(|m| first.is_some_and(|f| m.contains(&f)));
        group.map_or(0.0, |g| groups.money_of(g) - f64::from(s.flights) * set_up)
    };
    let row = |s: crownhold::field::aerial::SprayBlock| {
        let turns = turns_of(&s);
        let area = Area::square_metres(s.shape.unsigned_area());
        let off = Area::square_metres(s.kept_off.unsigned_area());
        SprayRow {
            blocks: s.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
            flights: s.flights,
            area: w.area(area),
            kept_off: if off.as_square_metres() < 1.0 { String::new() } else { w.area(off) },
            set_up: format!("${}", grouped(f64::from(s.flights) * set_up)),
            turns: format!("${}", grouped(turns)),
            per_acre: format!("${:.0}", (price + (set_up + turns / f64::from(s.flights)) / area.as_acres()) / unit),
            id: s.id,
        }
    };
    spray_blocks(&made.plan, &season.records).into_iter().map(row).collect()
}

/// One of the map layers of a plan; the parts of a shapefile come as one zip.
pub async fn map_file(visit: Visit, Path(name): Path<String>, Query(which): Query<Which>) -> Answer {
    let season = Arc::clone(&visit.season);
    let kept = season.kept(which.plan).cloned().ok_or_else(|| Refused::missing("There is no such plan."))?;
    let when = kept.made_at.clone();
    let all = off(move || files(&season.made(&kept)?, &season.records, &when)).await?;
    let bytes = match name.strip_suffix(".shp.zip") {
        Some(layer) => {
            let part = |(n, _): &(String, Vec<u8>)| {
                n.strip_prefix(layer).is_some_and(|e| [".shp", ".shx", ".dbf", ".prj", ".cpg"].contains(&e))
            };
            let parts: Vec<_> = all.into_iter().filter(part).collect();
            (!parts.is_empty()).then(|| zipped(&parts))
        }
        None => all.into_iter().find(|(own, _)| *own == name).map(|(_, bytes)| bytes),
    };
    let bytes = bytes.ok_or_else(|| Refused::missing("There is no such file."))?;
    let headers = [
        (CONTENT_TYPE, "application/octet-stream".to_owned()),
        (CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((headers, bytes).into_response())
}
