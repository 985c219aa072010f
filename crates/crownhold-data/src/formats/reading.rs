//! Which layout is it? Bytes to a table by their content first, by the file name second.

use crownhold::types::Problem;

use super::job::Job;
use super::table::{Declared, Table};
use super::{Input, Part, archive, delimited, geojson, geopackage, shapefile, text};

/// Reads an input; `None` after errors were noted.
pub(super) fn read(job: &mut Job<'_>, input: &Input) -> Option<Table> {
    let unpacked;
    let parts = match input.parts.as_slice() {
        [only] if archive::is_zip(&only.bytes) => {
            unpacked = archive::unpack(job, &only.bytes)?;
            &unpacked
        }
        parts => parts,
    };
    let mut table = read_parts(job, parts)?;
    declare(job, &mut table);
    Some(table)
}

fn ending(part: &Part) -> String {
    part.name.rsplit('.').next().unwrap_or_default().to_lowercase()
}

fn read_parts(job: &mut Job<'_>, parts: &[Part]) -> Option<Table> {
    let shapes = parts.iter().filter(|p| ending(p) == "shp").count();
    if shapes > 1 {
        job.note(Problem::error("I-106", format!("There are {shapes} shapefiles in it."), "Give one at a time."));
        return None;
    }
    if shapes == 1 {
        return shapefile::read(job, parts);
    }
    let [part] = parts else {
        let names = parts.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", ");
        let what = format!("There are several files ({names}) and none is a .shp.");
        job.note(Problem::error("I-106", what, "Give one file, or all parts of one shapefile."));
        return None;
    };
    read_single(job, part)
}

fn read_single(job: &mut Job<'_>, part: &Part) -> Option<Table> {
    if part.bytes.starts_with(b"SQLite format 3\0") {
        return geopackage::read(job, &part.bytes);
    }
    if ["gpkg", "zip", "dbf", "shx", "xlsx", "xls"].contains(&ending(part).as_str()) && !part.bytes.is_empty() {
        let what =
            format!("The file is called .{} but does not begin like one, or that layout is not read.", ending(part));
        let remedy = "Give the .shp with its parts, a GeoPackage, GeoJSON or CSV; save spreadsheets as CSV.";
        job.note(Problem::error("I-107", what, remedy));
        return None;
    }
    let head: Vec<u8> = part.bytes.iter().copied().filter(|b| b.is_ascii_graphic()).take(1).collect();
    if head == b"{" || ["geojson", "json"].contains(&ending(part).as_str()) {
        return match text::decode(&part.bytes) {
            Ok((text, note)) => {
                note.into_iter().for_each(|n| job.note(n));
                geojson::read(job, &text)
            }
            Err(problem) => {
                job.note(*problem);
                None
            }
        };
    }
    delimited::read(job, &part.bytes)
}

/// What the user says about the coordinate system goes before what the file says.
fn declare(job: &mut Job<'_>, table: &mut Table) {
    let Some(wish) = job.wishes.crs.as_deref() else { return };
    match super::crs::Crs::parse(wish) {
        Ok(crs) => {
            if let Declared::Known(own) = &table.declared
                && own.name() != crs.name()
            {
                let what = format!("The file says {}, you say {}.", own.name(), crs.name());
                job.note(Problem::notice("I-302", what, "Yours was taken."));
            }
            table.declared = Declared::Known(crs);
        }
        Err(why) => {
            job.note(
                Problem::error("I-303", why, "Give an EPSG number such as EPSG:26917, or a proj string.")
                    .expected("a coordinate system"),
            );
        }
    }
}
