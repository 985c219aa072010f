//! A city's list of addresses or parcels, read to find whom to write to. It goes into no record: whose list it is keeps it.

use crownhold::field::Told;
use crownhold::types::{Length, Problem, Records, UnitSystem};
use geo::Geometry;
use jiff::civil::Date;

use super::columns::{Columns, Field, Measure};
use super::job::Job;
use super::places::{self, X, Y};
use super::report::Kind;
use super::table::Table;
use super::words::rows;
use super::{Input, Wishes, kinds, reading};

/// The columns that a mailing list has beside those of the list it was made from.
const BLOCK: &str = "notice_block";
const BY: &str = "notice_by";

/// A list as it was read.
#[derive(Clone, Debug, Default)]
pub struct Addresses {
    table: Table,
    /// Point or outline of each row in the programme's system; none where the row has none.
    pub places: Vec<Option<Geometry<f64>>>,
    /// Remarks.
    pub notes: Vec<Problem>,
}

impl Addresses {
    /// How many rows.
    pub fn len(&self) -> usize {
        self.table.len()
    }
    /// No rows?
    pub fn is_empty(&self) -> bool {
        self.table.is_empty()
    }
}

/// Reads addresses or parcels: a table with positions, points or outlines, in any layout that is imported.
///
/// # Errors
/// Whatever cannot be read: no positions, an unknown coordinate system, places far from the city.
pub fn addresses(input: &Input, wishes: &Wishes, records: &Records) -> Result<Addresses, Vec<Problem>> {
    const FIELDS: &[Field] = &[
        Field { name: X.name, measure: Measure::Plain, ways: X.ways },
        Field { name: Y.name, measure: Measure::Plain, ways: Y.ways },
    ];
    // The reader wants a kind for its messages on shapes.
    let mut job = Job::new(Kind::Trees, &input.name, wishes, records);
    let read = reading::read(&mut job, input);
    let placed = read.and_then(|table| {
        let columns = Columns::find(&mut job, &table, FIELDS);
        let places = places_of(&mut job, &table, &columns)?;
        Some((table, places))
    });
    if let Some((table, places)) = &placed {
        note_unplaced(&mut job, table, places);
    }
    let problems = job.report.problems;
    match placed {
        Some((table, places)) if !problems.iter().any(Problem::is_error) => {
            Ok(Addresses { table, places, notes: problems })
        }
        _ => Err(problems),
    }
}

fn places_of(job: &mut Job<'_>, table: &Table, columns: &Columns) -> Option<Vec<Option<Geometry<f64>>>> {
    if kinds::has_outlines(table) {
        let outlines = places::outlines(job, table, |row| format!("row {}", table.number(row)))?;
        return Some(outlines.into_iter().map(|o| o.map(Geometry::from)).collect());
    }
    if !table.spatial {
        let both = [&X, &Y].map(|field| columns.need(job, table, field).is_some());
        if both.contains(&false) {
            return None;
        }
    }
    Some(places::points(job, table, columns)?.into_iter().map(|p| p.map(Geometry::from)).collect())
}

/// Rows without a position are on no list: that is said, lest somebody is forgotten.
fn note_unplaced(job: &mut Job<'_>, table: &Table, places: &[Option<Geometry<f64>>]) {
    let lost: Vec<u64> = (0..table.len()).filter(|row| places[*row].is_none()).map(|row| table.number(row)).collect();
    if let Some(first) = lost.first() {
        let what = format!("Without a position, and so on no list: {}.", rows(&lost));
        let problem = Problem::notice("I-910", what, "Look them up by hand, or give them positions.");
        job.note(problem.row(*first));
    }
}

/// The addresses that are to be told, as CSV: every column of the list, then the flown block nearest, the distance from it
/// (0 inside), and the last day. Rows keep their order.
pub fn mailing_csv(list: &Addresses, told: &[Told], by: Option<Date>, units: UnitSystem) -> Vec<u8> {
    let (distance, unit): (&str, fn(Length) -> f64) = match units {
        UnitSystem::Us => ("notice_distance_ft", Length::as_feet),
        UnitSystem::Metric => ("notice_distance_m", Length::as_metres),
    };
    let mut writer = csv::Writer::from_writer(Vec::new());
    let by = by.map(|day| day.to_string()).unwrap_or_default();
    let own = list.table.columns.iter().map(String::as_str);
    // Writing to memory does not fail.
    let _ = writer.write_record(own.chain([BLOCK, distance, BY]));
    for t in told {
        let cells = (0..list.table.columns.len()).map(|column| list.table.cell(t.address, column));
        let metres = format!("{:.0}", unit(t.distance));
        let _ = writer.write_record(cells.chain([t.block.as_str(), &metres, &by]));
    }
    writer.into_inner().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use crownhold::types::Programme;

    use super::*;

    fn city() -> Records {
        let programme =
            Programme { name: "T".into(), season: 2027, epsg: 32_616, units: UnitSystem::Us, invented: true };
        Records::empty(programme)
    }

    fn read(name: &str, text: &str) -> Result<Addresses, Vec<Problem>> {
        addresses(&Input::single(name, text), &Wishes::default(), &city())
    }

    #[test]
    fn every_column_goes_with_its_row() {
        let list = read(
            "addresses.csv",
            "street,zip,lon,lat\n\"12 Mill St, rear\",54321,-87.01,43.01\n14 Mill St,54321,,\n16 Mill St,54321,-87.02,43.02\n",
        )
        .unwrap();
        assert_eq!((list.len(), list.places.iter().flatten().count()), (3, 2));
        assert!(list.notes.iter().any(|n| n.code == "I-910" && n.what.contains('3')), "{:?}", list.notes);
        let told = Told { address: 0, block: "A01".into(), distance: Length::metres(30.48) };
        let csv = String::from_utf8(mailing_csv(&list, &[told], Some(jiff::civil::date(2027, 4, 12)), UnitSystem::Us));
        assert_eq!(
            csv.unwrap(),
            "street,zip,lon,lat,notice_block,notice_distance_ft,notice_by\n\
             \"12 Mill St, rear\",54321,-87.01,43.01,A01,100,2027-04-12\n"
        );
    }

    #[test]
    fn parcels_are_outlines_and_a_list_without_places_is_refused() {
        let parcels = r#"{"type":"FeatureCollection","features":[{"type":"Feature","properties":{"owner":"city"},
            "geometry":{"type":"Polygon","coordinates":[[[-87.01,43.01],[-87.0,43.01],[-87.0,43.02],[-87.01,43.01]]]}}]}"#;
        let list = read("parcels.geojson", parcels).unwrap();
        assert!(matches!(list.places[..], [Some(Geometry::MultiPolygon(_))]));
        assert!(!list.is_empty());
        let codes: Vec<_> = read("names.csv", "street,zip\n12 Mill St,54321\n").err().unwrap();
        assert!(codes.iter().all(|p| p.is_error()) && codes.len() == 2, "{codes:?}");
    }
}
