//! The field log: band visits, scraping, application records, notices.

use crownhold::types::{
    Application, BandVisit, BandWork, BlockId, Catch, Hours, Log, LogId, NoticeSent, Problem, ScrapingVisit, Share,
    Speed, TreeId,
};
use geo::Point;
use jiff::civil::Time;

use super::super::row::{Cell, RowChange, Snapshot, Table, shown};
use super::reader::Reader;

const COUNT: &str = "a whole number, 0 or more";

pub(super) const BANDS: Table = Table {
    name: "band_visits",
    key: &["id"],
    columns: &[
        "id", "day", "block", "tree", "work", "bands", "small", "large", "pupae", "masses", "fungus", "virus", "hours",
        "who", "x", "y", "note",
    ],
    is_layer: false,
};

pub(super) const SCRAPING: Table = Table {
    name: "scraping",
    key: &["id"],
    columns: &["id", "day", "block", "tree", "low", "high", "left_up", "trees", "hours", "who", "x", "y", "note"],
    is_layer: false,
};

pub(super) const APPLICATIONS: Table = Table {
    name: "applications",
    key: &["id", "version"],
    columns: &[
        "id",
        "version",
        "reason",
        "closed_on",
        "closed_by",
        "method",
        "blocks",
        "place",
        "day",
        "starts",
        "ends",
        "product",
        "registration",
        "formulation",
        "rate",
        "total",
        "area_m2",
        "wind_m_s",
        "wind_from_deg",
        "temperature_c",
        "humidity",
        "applicator",
        "licence",
        "craft",
        "note",
    ],
    is_layer: false,
};

pub(super) const NOTICES: Table = Table {
    name: "notices",
    key: &["id"],
    columns: &["id", "day", "audience", "means", "blocks", "number", "who", "note"],
    is_layer: false,
};

/// The tables of the log.
pub(in super::super) const LOG_TABLES: [&str; 4] = [BANDS.name, SCRAPING.name, APPLICATIONS.name, NOTICES.name];

pub(super) fn write(log: &Log, rows: &mut Snapshot) {
    log.bands.iter().for_each(|visit| write_bands(visit, rows));
    log.scraping.iter().for_each(|visit| write_scraping(visit, rows));
    log.applications.iter().for_each(|record| write_application(record, rows));
    log.notices.iter().for_each(|notice| write_notice(notice, rows));
}

pub(super) fn read(rows: &Snapshot, note: &mut Vec<Problem>) -> Log {
    let mut log = Log {
        bands: super::all(rows, &BANDS, note, read_bands),
        scraping: super::all(rows, &SCRAPING, note, read_scraping),
        applications: super::all(rows, &APPLICATIONS, note, read_application),
        notices: super::all(rows, &NOTICES, note, read_notice),
    };
    log.bands.sort_by(|a, b| a.id.cmp(&b.id));
    log.scraping.sort_by(|a, b| a.id.cmp(&b.id));
    log.applications.sort_by(|a, b| (&a.id, a.version).cmp(&(&b.id, b.version)));
    log.notices.sort_by(|a, b| a.id.cmp(&b.id));
    log
}

fn write_bands(v: &BandVisit, rows: &mut Snapshot) {
    let [small, large, pupae, masses, fungus, virus] = v.found.counts();
    rows.add(
        &BANDS,
        [
            ("id", v.id.as_str().into()),
            ("day", v.date.into()),
            ("block", v.block.as_str().into()),
            ("tree", v.tree.as_ref().map(TreeId::as_str).into()),
            ("work", v.work.word().into()),
            ("bands", v.bands.into()),
            ("small", small.into()),
            ("large", large.into()),
            ("pupae", pupae.into()),
            ("masses", masses.into()),
            ("fungus", fungus.into()),
            ("virus", virus.into()),
            ("hours", v.hours.map(Hours::as_hours).into()),
            ("who", (&v.who).into()),
            ("x", v.place.map(Point::x).into()),
            ("y", v.place.map(Point::y).into()),
            ("note", (&v.note).into()),
        ],
    );
}

fn read_bands(r: &mut Reader) -> BandVisit {
    let columns = ["small", "large", "pupae", "masses", "fungus", "virus"];
    BandVisit {
        id: LogId::new(r.need_text("id")),
        date: r.need_day("day"),
        block: BlockId::new(r.need_text("block")),
        tree: r.text("tree").map(TreeId::new),
        work: r.word("work").unwrap_or(BandWork::Look),
        bands: r.need_whole("bands", COUNT),
        found: Catch::from_counts(columns.map(|column| r.whole(column, COUNT).unwrap_or(0))),
        hours: hours(r),
        who: r.text("who").unwrap_or_default(),
        place: place(r),
        note: r.text("note").unwrap_or_default(),
    }
}

/// A place of which one half is missing is none.
fn place(r: &mut Reader) -> Option<Point<f64>> {
    let mut half = |column| r.number(column, -1e9, 1e9, "metres in the programme's reference system");
    Some(Point::new(half("x")?, half("y")?))
}

fn hours(r: &mut Reader) -> Option<Hours> {
    r.number("hours", 0.0, 10_000.0, "hours, 0 or more").map(Hours::hours)
}

fn write_scraping(v: &ScrapingVisit, rows: &mut Snapshot) {
    rows.add(
        &SCRAPING,
        [
            ("id", v.id.as_str().into()),
            ("day", v.date.into()),
            ("block", v.block.as_str().into()),
            ("tree", v.tree.as_ref().map(TreeId::as_str).into()),
            ("low", v.low.into()),
            ("high", v.high.into()),
            ("left_up", v.left.into()),
            ("trees", v.trees.into()),
            ("hours", v.hours.map(Hours::as_hours).into()),
            ("who", (&v.who).into()),
            ("x", v.place.map(Point::x).into()),
            ("y", v.place.map(Point::y).into()),
            ("note", (&v.note).into()),
        ],
    );
}

fn read_scraping(r: &mut Reader) -> ScrapingVisit {
    let count = |r: &mut Reader, column| r.whole(column, COUNT).unwrap_or(0);
    ScrapingVisit {
        id: LogId::new(r.need_text("id")),
        date: r.need_day("day"),
        block: BlockId::new(r.need_text("block")),
        tree: r.text("tree").map(TreeId::new),
        low: count(r, "low"),
        high: count(r, "high"),
        left: count(r, "left_up"),
        trees: count(r, "trees"),
        hours: hours(r),
        who: r.text("who").unwrap_or_default(),
        place: place(r),
        note: r.text("note").unwrap_or_default(),
    }
}

/// Closed application records that a change would touch: each may only be amended.
pub(in super::super) fn closed_touched(changes: &[RowChange]) -> Vec<Problem> {
    let closed_on = APPLICATIONS.position("closed_on");
    let is_closed = |change: &&RowChange| {
        let before = change.before.as_ref().filter(|_| change.table.name == APPLICATIONS.name);
        before.is_some_and(|cells| cells[closed_on] != Cell::Null)
    };
    let refused = |change: &RowChange| {
        let what = format!("application record {} is closed and cannot be changed.", shown(&change.key));
        let remedy = "Amend it: both versions are kept. What was done before it was closed cannot be undone any more.";
        Problem::error("S-205", what, remedy).item(format!("applications {}", shown(&change.key)))
    };
    changes.iter().filter(is_closed).map(refused).collect()
}

/// Block names in one cell. A name with the separator in it is kept by JSON.
fn joined(blocks: &[BlockId]) -> String {
    serde_json::Value::from_iter(blocks.iter().map(BlockId::as_str)).to_string()
}

fn blocks(r: &mut Reader) -> Vec<BlockId> {
    let Some(text) = r.text("blocks") else { return Vec::new() };
    match serde_json::from_str::<Vec<String>>(&text) {
        Ok(names) => names.iter().map(BlockId::new).collect(),
        Err(_) => {
            r.fault(
                "S-105",
                "blocks",
                format!("blocks is \"{text}\"."),
                "a JSON list of block names, such as [\"A07\"]",
            );
            Vec::new()
        }
    }
}

fn write_application(a: &Application, rows: &mut Snapshot) {
    let time = |time: Option<Time>| time.map(|t| t.strftime("%H:%M").to_string());
    rows.add(
        &APPLICATIONS,
        [
            ("id", a.id.as_str().into()),
            ("version", a.version.into()),
            ("reason", (&a.reason).into()),
            ("closed_on", a.closed.as_ref().map(|(day, _)| *day).into()),
            ("closed_by", a.closed.as_ref().map(|(_, who)| who.as_str()).into()),
            ("method", a.method.word().into()),
            ("blocks", joined(&a.blocks).as_str().into()),
            ("place", (&a.place).into()),
            ("day", a.date.into()),
            ("starts", time(a.from).as_deref().into()),
            ("ends", time(a.to).as_deref().into()),
            ("product", (&a.product).into()),
            ("registration", (&a.registration).into()),
            ("formulation", (&a.formulation).into()),
            ("rate", (&a.rate).into()),
            ("total", (&a.total).into()),
            ("area_m2", a.area.map(|area| area.as_square_metres()).into()),
            ("wind_m_s", a.wind.map(Speed::as_metres_per_second).into()),
            ("wind_from_deg", a.wind_from.into()),
            ("temperature_c", a.temperature.into()),
            ("humidity", a.humidity.map(Share::value).into()),
            ("applicator", (&a.applicator).into()),
            ("licence", (&a.licence).into()),
            ("craft", (&a.craft).into()),
            ("note", (&a.note).into()),
        ],
    );
}

fn read_application(r: &mut Reader) -> Application {
    let text = |r: &mut Reader, column| r.text(column).unwrap_or_default();
    Application {
        id: LogId::new(r.need_text("id")),
        version: r.need_whole("version", "a whole number from 1 up"),
        reason: text(r, "reason"),
        closed: r.day("closed_on").map(|day| (day, text(r, "closed_by"))),
        method: r.need_word("method"),
        blocks: blocks(r),
        place: text(r, "place"),
        date: r.need_day("day"),
        from: r.time("starts"),
        to: r.time("ends"),
        product: text(r, "product"),
        registration: text(r, "registration"),
        formulation: text(r, "formulation"),
        rate: text(r, "rate"),
        total: text(r, "total"),
        area: r.area("area_m2"),
        wind: r.number("wind_m_s", 0.0, 100.0, "metres a second").map(Speed::metres_per_second),
        wind_from: r.number("wind_from_deg", 0.0, 360.0, "degrees, 0 to 360"),
        temperature: r.number("temperature_c", -60.0, 60.0, "degrees C"),
        humidity: r.share("humidity"),
        applicator: text(r, "applicator"),
        licence: text(r, "licence"),
        craft: text(r, "craft"),
        note: text(r, "note"),
    }
}

fn write_notice(n: &NoticeSent, rows: &mut Snapshot) {
    rows.add(
        &NOTICES,
        [
            ("id", n.id.as_str().into()),
            ("day", n.date.into()),
            ("audience", n.audience.word().into()),
            ("means", n.means.word().into()),
            ("blocks", joined(&n.blocks).as_str().into()),
            ("number", n.number.into()),
            ("who", (&n.who).into()),
            ("note", (&n.note).into()),
        ],
    );
}

fn read_notice(r: &mut Reader) -> NoticeSent {
    NoticeSent {
        id: LogId::new(r.need_text("id")),
        date: r.need_day("day"),
        audience: r.need_word("audience"),
        means: r.need_word("means"),
        blocks: blocks(r),
        number: r.need_whole("number", COUNT),
        who: r.text("who").unwrap_or_default(),
        note: r.text("note").unwrap_or_default(),
    }
}
