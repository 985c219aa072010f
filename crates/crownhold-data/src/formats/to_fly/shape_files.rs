//! Shapefiles in the programme's system, with .prj and .cpg.

use std::io::Cursor;

use shapefile::dbase::{FieldName, FieldValue, Record, TableWriterBuilder};
use shapefile::record::EsriShape;
use shapefile::{Polygon, Polyline, ShapeWriter};

use super::{AreaToFly, LineToFly, NamedFile};
use crate::layer::{Field, Layer};

/// Longest text of a cell.
const CELL: u8 = 254;

pub(super) fn write(areas: &[AreaToFly], lines: &[LineToFly], epsg: u32) -> Result<Vec<NamedFile>, String> {
    let shapes: Vec<Polygon> = areas.iter().map(|a| Polygon::from(a.shape.clone())).collect();
    let rows: Vec<Vec<Cell>> = areas.iter().map(area_row).collect();
    let mut files = layer("spray-blocks", &shapes, &["id", "blocks", "acres", "flights", "heading"], &rows, epsg)?;
    let shapes: Vec<Polyline> = lines.iter().map(|l| Polyline::from(l.stretches.clone())).collect();
    let rows: Vec<Vec<Cell>> =
        lines.iter().map(|l| vec![Cell::Text(l.block.clone()), Cell::Number(f64::from(l.number))]).collect();
    files.extend(layer("passes", &shapes, &["block", "pass"], &rows, epsg)?);
    Ok(files)
}

/// A layer of outlines.
pub(crate) fn of_layer(layer: &Layer, epsg: u32) -> Result<Vec<NamedFile>, String> {
    let shapes: Vec<Polygon> = layer.rows.iter().map(|(_, s)| Polygon::from(s.clone())).collect();
    let cell = |f: &Field| match f {
        Field::Text(text) => Cell::Text(short(text)),
        Field::Number(n) => Cell::Number(*n),
    };
    let rows: Vec<Vec<Cell>> = layer.rows.iter().map(|(fields, _)| fields.iter().map(cell).collect()).collect();
    self::layer(&layer.name, &shapes, &layer.columns, &rows, epsg)
}

enum Cell {
    Text(String),
    Number(f64),
}

fn area_row(a: &AreaToFly) -> Vec<Cell> {
    let numbers = [a.acres, f64::from(a.flights), a.heading].map(Cell::Number);
    [Cell::Text(a.id.clone()), Cell::Text(short(&a.blocks))].into_iter().chain(numbers).collect()
}

/// What fits into a cell, cut between letters.
fn short(text: &str) -> String {
    let end = text.char_indices().map(|(i, c)| i + c.len_utf8()).take_while(|e| *e <= usize::from(CELL)).last();
    text[..end.unwrap_or(0)].to_owned()
}

fn layer<S: EsriShape>(
    name: &str,
    shapes: &[S],
    fields: &[&str],
    rows: &[Vec<Cell>],
    epsg: u32,
) -> Result<Vec<NamedFile>, String> {
    let (mut shp, mut shx, mut dbf) = (Vec::new(), Vec::new(), Vec::new());
    let mut writer = ShapeWriter::with_shx(Cursor::new(&mut shp), Cursor::new(&mut shx));
    shapes.iter().try_for_each(|s| writer.write_shape(s)).map_err(|e| e.to_string())?;
    writer.finalize().map_err(|e| e.to_string())?;
    drop(writer);
    let mut builder = TableWriterBuilder::new();
    for (i, field) in fields.iter().enumerate() {
        let name = FieldName::try_from(*field).map_err(|e| e.to_string())?;
        builder = match rows.first().map(|r| &r[i]) {
            Some(Cell::Number(_)) => builder.add_numeric_field(name, 12, 1),
            _ => builder.add_character_field(name, CELL),
        };
    }
    let mut table = builder.build_with_dest(Cursor::new(&mut dbf));
    for row in rows {
        let mut record = Record::default();
        for (field, cell) in fields.iter().zip(row) {
            let value = match cell {
                Cell::Text(t) => FieldValue::Character(Some(t.clone())),
                Cell::Number(n) => FieldValue::Numeric(Some(*n)),
            };
            record.insert((*field).to_owned(), value);
        }
        table.write_record(&record).map_err(|e| e.to_string())?;
    }
    table.finalize().map_err(|e| e.to_string())?;
    drop(table);
    let mut files = vec![(format!("{name}.shp"), shp), (format!("{name}.shx"), shx), (format!("{name}.dbf"), dbf)];
    if let Some(system) = u16::try_from(epsg).ok().and_then(crs_definitions::from_code) {
        files.push((format!("{name}.prj"), system.wkt.as_bytes().to_vec()));
    }
    files.push((format!("{name}.cpg"), b"UTF-8".to_vec()));
    Ok(files)
}
