//! One application record, with a line to sign.

use crownhold::types::{Application, BlockId, Programme, Speed, UnitSystem};
use jiff::civil::Time;

use super::document::{Document, Part};
use crate::cautions;
use crate::wording::{Wording, capital};
use crownhold::types::Tactic;

/// The record as it stands, closed or open.
pub fn application_record(record: &Application, programme: &Programme) -> Document {
    let w = Wording::new(programme.units);
    let state = match &record.closed {
        Some((day, who)) => format!("Closed on {} by {who}. Closed records are amended, never changed.", w.date(*day)),
        None => "Open: this record may still be written on.".to_owned(),
    };
    let mut parts = Vec::new();
    if !record.reason.is_empty() {
        let before = record.version - 1;
        parts.push(Part::Text(format!("This version amends version {before}: {}.", record.reason)));
    }
    parts.push(Part::Facts(facts(record, w, programme.units)));
    parts.push(Part::Caution(cautions::of(Tactic::GroundBtk).to_owned()));
    parts.push(Part::Heading("Signed".to_owned()));
    parts.push(Part::Blanks(vec!["Applicator".to_owned(), "Date".to_owned(), "For the programme".to_owned()]));
    Document {
        title: format!("Application record {}, version {}", record.id, record.version),
        lead: state,
        lang: "en",
        parts,
    }
}

fn facts(a: &Application, w: Wording, units: UnitSystem) -> Vec<(String, String)> {
    let blank = || "not written down".to_owned();
    let text = |t: &str| if t.trim().is_empty() { blank() } else { t.to_owned() };
    let time = |t: Option<Time>| t.map_or_else(blank, |t| t.strftime("%H:%M").to_string());
    let blocks = a.blocks.iter().map(BlockId::to_string).collect::<Vec<_>>().join(", ");
    let wind = a.wind.map(Speed::as_metres_per_second);
    let wind = match (wind, a.wind_from) {
        (Some(speed), Some(from)) => format!("{} from {from:.0} degrees", w.speed(speed)),
        (Some(speed), None) => format!("{}, direction not written down", w.speed(speed)),
        _ => blank(),
    };
    let area = a.area.map_or_else(blank, |area| match units {
        UnitSystem::Us => format!("{:.1} acres", area.as_acres()),
        UnitSystem::Metric => format!("{:.1} ha", area.as_hectares()),
    });
    [
        ("Day", w.date(a.date)),
        ("Start and end", format!("{} to {}", time(a.from), time(a.to))),
        ("From", capital(a.method.word())),
        ("Blocks", text(&blocks)),
        ("Place", text(&a.place)),
        ("Area treated", area),
        ("Product", text(&a.product)),
        ("Registration number", text(&a.registration)),
        ("Formulation", text(&a.formulation)),
        ("Rate", text(&a.rate)),
        ("Product used in all", text(&a.total)),
        ("Wind", wind),
        ("Temperature", a.temperature.map_or_else(blank, |t| w.temperature(t))),
        ("Relative humidity", a.humidity.map_or_else(blank, |h| format!("{:.0} %", 100.0 * h.value()))),
        ("Applicator", text(&a.applicator)),
        ("Licence number", text(&a.licence)),
        ("Aircraft or gear", text(&a.craft)),
        ("Remarks", if a.note.trim().is_empty() { "none".to_owned() } else { a.note.clone() }),
    ]
    .map(|(name, value)| (name.to_owned(), value))
    .into()
}
