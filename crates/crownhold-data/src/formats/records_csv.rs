//! Application records as a table, every version a row.

use crownhold::types::{Application, Speed, UnitSystem};

/// The records as CSV in the units shown; the same records give the same bytes.
pub fn applications_to_csv(records: &[Application], units: UnitSystem) -> Vec<u8> {
    let us = units == UnitSystem::Us;
    let mut writer = csv::Writer::from_writer(Vec::new());
    let (area, wind, temperature) =
        if us { ("area_acres", "wind_mph", "temperature_f") } else { ("area_ha", "wind_m_s", "temperature_c") };
    let head = [
        "record",
        "version",
        "amended_because",
        "closed_on",
        "closed_by",
        "date",
        "start",
        "end",
        "method",
        "blocks",
        "place",
        "product",
        "registration_number",
        "formulation",
        "rate",
        "total_product",
        area,
        wind,
        "wind_from_deg",
        temperature,
        "humidity_pct",
        "applicator",
        "licence_number",
        "aircraft_or_gear",
        "remarks",
    ];
    let number = |v: Option<f64>| v.map(|v| format!("{}", (v * 1000.0).round() / 1000.0)).unwrap_or_default();
    let row = |a: &Application| -> [String; 25] {
        let time = |t: Option<jiff::civil::Time>| t.map(|t| t.strftime("%H:%M").to_string()).unwrap_or_default();
        [
            a.id.to_string(),
            a.version.to_string(),
            a.reason.clone(),
            a.closed.as_ref().map(|(day, _)| day.to_string()).unwrap_or_default(),
            a.closed.as_ref().map(|(_, who)| who.clone()).unwrap_or_default(),
            a.date.to_string(),
            time(a.from),
            time(a.to),
            a.method.word().to_owned(),
            a.blocks.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "),
            a.place.clone(),
            a.product.clone(),
            a.registration.clone(),
            a.formulation.clone(),
            a.rate.clone(),
            a.total.clone(),
            number(a.area.map(|v| if us { v.as_acres() } else { v.as_hectares() })),
            number(a.wind.map(|v| if us { v.as_miles_per_hour() } else { Speed::as_metres_per_second(v) })),
            number(a.wind_from),
            number(a.temperature.map(|t| if us { t * 1.8 + 32.0 } else { t })),
            number(a.humidity.map(|h| 100.0 * h.value())),
            a.applicator.clone(),
            a.licence.clone(),
            a.craft.clone(),
            a.note.clone(),
        ]
    };
    // Writing to memory does not fail.
    let _ = writer.write_record(head);
    for record in records {
        let _ = writer.write_record(row(record));
    }
    writer.into_inner().unwrap_or_default()
}
