//! Strata, plots, visits and counts.

use std::collections::BTreeMap;

use crownhold::types::{
    Area, BlockId, Count, Length, Plot, PlotId, PlotMethod, Problem, Stratum, StratumId, Visit, VisitId,
};

use super::super::geometry;
use super::super::row::{Snapshot, Table};
use super::all;
use super::reader::Reader;

pub(super) const STRATA: Table = Table { name: "strata", key: &["id"], columns: &["id", "name"], is_layer: false };

pub(super) fn write_stratum(stratum: &Stratum, rows: &mut Snapshot) {
    rows.add(&STRATA, [("id", stratum.id.as_str().into()), ("name", (&stratum.name).into())]);
}

pub(super) fn read_stratum(r: &mut Reader) -> Stratum {
    let id = StratumId::new(r.need_text("id"));
    Stratum { name: r.text("name").unwrap_or_else(|| id.to_string()), id }
}

pub(super) const PLOTS: Table = Table {
    name: "plots",
    key: &["id"],
    columns: &["id", "block", "method", "basal_area_factor_ft2_per_acre", "area_m2", "geom"],
    is_layer: true,
};

pub(super) fn write_plot(plot: &Plot, srs: u32, rows: &mut Snapshot) {
    let factor = match plot.method {
        PlotMethod::Prism { basal_area_factor } => Some(basal_area_factor),
        _ => None,
    };
    rows.add(
        &PLOTS,
        [
            ("id", plot.id.as_str().into()),
            ("block", plot.block.as_str().into()),
            ("method", plot.method.word().into()),
            ("basal_area_factor_ft2_per_acre", factor.into()),
            ("area_m2", plot.area.map(Area::as_square_metres).into()),
            ("geom", plot.place.map(|p| geometry::write_point(p, srs)).into()),
        ],
    );
}

pub(super) fn read_plot(r: &mut Reader) -> Plot {
    Plot {
        id: PlotId::new(r.need_text("id")),
        block: BlockId::new(r.need_text("block")),
        place: r.point(),
        method: plot_method(r),
        area: r.area("area_m2"),
    }
}

fn plot_method(r: &mut Reader) -> PlotMethod {
    const FACTOR: &str = "basal_area_factor_ft2_per_acre";
    const PLAIN: [PlotMethod; 6] = [
        PlotMethod::FixedRadius,
        PlotMethod::Square,
        PlotMethod::WholeLot,
        PlotMethod::TimedWalk,
        PlotMethod::Burlap,
        PlotMethod::Trap,
    ];
    let word = r.need_text("method");
    let plain = |s: &str| s.to_lowercase().replace([' ', '-', '_'], "");
    if plain(&word) == "prism" {
        let expected = "the prism's basal area factor, square feet per acre, above 0";
        return PlotMethod::Prism { basal_area_factor: r.need_number(FACTOR, f64::MIN_POSITIVE, f64::MAX, expected) };
    }
    PLAIN.into_iter().find(|m| plain(m.word()) == plain(&word)).unwrap_or_else(|| {
        let words = PLAIN.map(PlotMethod::word).join(", ");
        r.fault("S-102", "method", format!("method is \"{word}\"."), &format!("one of {words}, prism"));
        PlotMethod::FixedRadius
    })
}

pub(super) const VISITS: Table =
    Table { name: "visits", key: &["id"], columns: &["id", "plot", "visited_on", "observer", "note"], is_layer: false };

pub(super) const COUNTS: Table = Table {
    name: "counts",
    key: &["visit", "position"],
    columns: &["visit", "position", "substrate", "dbh_m", "new_masses", "old_masses", "out_of_reach"],
    is_layer: false,
};

pub(super) fn write_visit(visit: &Visit, rows: &mut Snapshot) {
    rows.add(
        &VISITS,
        [
            ("id", visit.id.as_str().into()),
            ("plot", visit.plot.as_str().into()),
            ("visited_on", visit.date.into()),
            ("observer", (&visit.observer).into()),
            ("note", (&visit.note).into()),
        ],
    );
    for (position, count) in visit.counts.iter().enumerate() {
        write_count(&visit.id, position + 1, count, rows);
    }
}

fn write_count(visit: &VisitId, position: usize, count: &Count, rows: &mut Snapshot) {
    rows.add(
        &COUNTS,
        [
            ("visit", visit.as_str().into()),
            ("position", position.into()),
            ("substrate", count.substrate.word().into()),
            ("dbh_m", count.dbh.map(Length::as_metres).into()),
            ("new_masses", count.new.into()),
            ("old_masses", count.old.into()),
            ("out_of_reach", count.out_of_reach.into()),
        ],
    );
}

pub(super) fn read_visits(rows: &Snapshot, problems: &mut Vec<Problem>) -> Vec<Visit> {
    let mut counts: BTreeMap<VisitId, Vec<(i64, Count)>> = BTreeMap::new();
    for (visit, position, count) in all(rows, &COUNTS, problems, read_count) {
        counts.entry(visit).or_default().push((position, count));
    }
    let mut visits = all(rows, &VISITS, problems, read_visit);
    for visit in &mut visits {
        let mut own = counts.remove(&visit.id).unwrap_or_default();
        own.sort_by_key(|(position, _)| *position);
        visit.counts = own.into_iter().map(|(_, count)| count).collect();
    }
    problems.extend(counts.keys().map(|v| super::dangling(&COUNTS, "visit", v.as_str(), v.as_str(), "visit")));
    visits
}

fn read_visit(r: &mut Reader) -> Visit {
    Visit {
        id: VisitId::new(r.need_text("id")),
        plot: PlotId::new(r.need_text("plot")),
        date: r.need_day("visited_on"),
        observer: r.text("observer").unwrap_or_default(),
        counts: Vec::new(),
        note: r.text("note").unwrap_or_default(),
    }
}

fn read_count(r: &mut Reader) -> (VisitId, i64, Count) {
    let masses = "a whole number of egg masses, not negative; a blank count is not a zero";
    let count = Count {
        substrate: r.need_word("substrate"),
        dbh: r.length("dbh_m"),
        new: r.need_whole("new_masses", masses),
        old: r.need_whole("old_masses", masses),
        out_of_reach: r.need_whole("out_of_reach", masses),
    };
    (VisitId::new(r.need_text("visit")), r.need_whole("position", "the place of the count within its visit"), count)
}
