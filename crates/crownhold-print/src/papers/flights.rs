//! The packet for the aerial contractor: the whole job, then a sheet for each spray block.

use crownhold::field::aerial::{Aircraft, Job, Sheet as JobSheet};
use crownhold::types::{BlockId, Programme, Tactic, UnitSystem, Volume};

use super::document::{Column, Document, Part};
use crate::cautions;
use crate::charts::flight;
use crate::sheet::Sheet;
use crate::wording::{Wording, chance, count, grouped};

/// The packet. `known` is the chance of as many suitable mornings in the window as the job takes.
pub fn flight_packet(job: &Job, craft: &Aircraft, known: Option<f64>, programme: &Programme) -> Document {
    let w = Wording::new(programme.units);
    let mornings = match known {
        Some(p) => format!("{}; chance of as many in the window: {}", job.mornings, chance(p)),
        None => format!("{}; the chance of as many in the window is not known", job.mornings),
    };
    let mut parts = vec![
        Part::Caution(cautions::of(Tactic::AerialOnce).to_owned()),
        Part::Caution(cautions::CALIBRATION.to_owned()),
        Part::Facts(vec![
            ("Hours, all applications".to_owned(), format!("{:.1}", job.hours.as_hours())),
            ("Suitable mornings needed".to_owned(), mornings),
            ("Speed while spraying".to_owned(), w.speed(craft.speed.as_metres_per_second())),
            ("Mix put out".to_owned(), rate(craft, programme.units)),
            ("Tank".to_owned(), volume(craft.tank, programme.units)),
        ]),
        Part::Heading("The spray blocks, in order of hatch".to_owned()),
        table(job, w, programme.units),
        Part::Soft(
            "Minutes, loads and mix are of one application. The figures are to aim at; what the gear really puts out is shown by a \
             catch test."
                .to_owned(),
        ),
    ];
    for sheet in &job.sheets {
        parts.extend(page(sheet, w, programme));
    }
    Document {
        title: format!("Aerial job {}", programme.season),
        lead: format!("{} to be flown.", count(job.sheets.len(), "spray block", "spray blocks")),
        lang: "en",
        parts,
    }
}

fn rate(craft: &Aircraft, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{:.2} gal an acre", craft.rate.as_gallons_per_acre()),
        UnitSystem::Metric => format!("{:.1} L a hectare", craft.rate.as_litres_per_hectare()),
    }
}

fn volume(v: Volume, units: UnitSystem) -> String {
    match units {
        UnitSystem::Us => format!("{} gal", grouped(v.as_gallons())),
        UnitSystem::Metric => format!("{} L", grouped(v.as_litres())),
    }
}

fn table(job: &Job, w: Wording, units: UnitSystem) -> Part {
    let row = |s: &JobSheet| {
        vec![
            s.block.id.clone(),
            names(s),
            s.block.flights.to_string(),
            w.bare_area(s.area),
            volume(s.mix, units),
            format!("{:.0}", s.heading),
            s.passes.len().to_string(),
            s.loads.to_string(),
            format!("{:.0}", s.total().as_minutes()),
        ]
    };
    Part::table(
        vec![
            Column::words("Spray block"),
            Column::wide("City's blocks", 1.0),
            Column::figures("Flights"),
            Column::figures(w.area_unit()),
            Column::figures("Mix"),
            Column::figures("Heading"),
            Column::figures("Passes"),
            Column::figures("Loads"),
            Column::figures("Minutes"),
        ],
        job.sheets.iter().map(row).collect(),
    )
}

fn names(sheet: &JobSheet) -> String {
    sheet.block.blocks.iter().map(BlockId::to_string).collect::<Vec<_>>().join(", ")
}

fn page(sheet: &JobSheet, w: Wording, programme: &Programme) -> Vec<Part> {
    let minutes = |h: crownhold::types::Hours| format!("{:.0} min", h.as_minutes());
    let id = format!("flight-{}", sheet.block.id.to_lowercase());
    let mut facts = vec![
        ("City's blocks".to_owned(), names(sheet)),
        ("Ground to be sprayed".to_owned(), w.area(sheet.area)),
        ("Flights".to_owned(), sheet.block.flights.to_string()),
        ("Heading".to_owned(), format!("{:.0} degrees from grid north", sheet.heading)),
        ("Passes".to_owned(), sheet.passes.len().to_string()),
        ("Mix".to_owned(), volume(sheet.mix, programme.units)),
    ];
    if let Some(product) = sheet.product {
        facts.push(("Product in it".to_owned(), volume(product, programme.units)));
    }
    facts.push((
        "Time of one application".to_owned(),
        format!(
            "{}: passes {}, turns {}, ferry {}, loading {}",
            minutes(sheet.total()),
            minutes(sheet.flying),
            minutes(sheet.turns),
            minutes(sheet.ferry),
            minutes(sheet.loading)
        ),
    ));
    vec![
        Part::NewPage,
        Part::Heading(format!("Spray block {}", sheet.block.id)),
        Part::Facts(facts),
        Part::Picture {
            svg: flight(sheet, &Sheet::paper(&id, programme.units)),
            alt: format!(
                "Map of spray block {} with {}; dashed ground is not sprayed.",
                sheet.block.id,
                count(sheet.passes.len(), "pass", "passes")
            ),
            height: 0.5,
        },
        Part::Soft("North is up. Dashed outlines: no-spray ground with its buffer; booms are shut over it.".to_owned()),
        Part::Blanks(
            ["Day, start and end", "Wind, temperature, humidity", "Loads flown", "Remarks", "Pilot"]
                .map(str::to_owned)
                .into(),
        ),
    ]
}
