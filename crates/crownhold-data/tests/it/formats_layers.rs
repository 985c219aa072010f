//! Layers as they come from map programs: shapefile, GeoPackage, zipped, in feet, with faults.
#![allow(clippy::unwrap_used)]

use crownhold::types::{Area, Records, Severity, Share};
use crownhold_data::formats::grid::{CellShape, Grid, blocks_from_boundary, outline};
use crownhold_data::formats::shares::{TreeWeight, shares_from_trees};
use crownhold_data::formats::{Input, Kind, Part, Wishes, import};
use geo::{Area as _, MultiPolygon, Validation as _};

use crate::formats::{bring, codes, file, in_crs, programme, sample, told, with_blocks};

/// Census tracts of eight counties of New York (Debian r-cran-spdata 2.2.1, CC0): 281 polygons, UTM 18N,
/// 13,735,985,977.96 m2 in all, 5 of them invalid (GEOS through shapely 2.2.0).
#[test]
fn real_tracts_are_repaired_and_reported() {
    let mut records = programme();
    records.programme.epsg = 32618;
    let part = |end: &str| Part { name: format!("NY8_utm18.{end}"), bytes: sample(&format!("ny8/NY8_utm18.{end}")) };
    let input = Input { name: "NY8_utm18.shp".to_owned(), parts: ["shp", "shx", "dbf", "prj"].map(part).to_vec() };
    let wishes = Wishes { map: vec![("id".to_owned(), "AREAKEY".to_owned())], ..Wishes::default() };
    let report = import(Kind::Blocks, &input, &wishes, &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    assert_eq!((report.taken.new, records.blocks.len()), (281, 281));
    let redrawn: Vec<_> = report.of(Severity::Repaired).filter(|p| p.code == "I-403").collect();
    assert_eq!(redrawn.len(), 5, "{}", told(&report));
    assert!(records.blocks.iter().all(|b| b.shape.is_valid()));
    let total: f64 = records.blocks.iter().map(|b| b.area().as_square_metres()).sum();
    assert!((total / 13735985977.96 - 1.0).abs() < 1e-5, "{total}");
    let again = import(Kind::Blocks, &input, &wishes, &mut records);
    assert_eq!((again.taken.unchanged, again.taken.new), (281, 0));
}

/// A GeoPackage with the least that the standard asks for, holding the shapes of the good blocks.
fn geopackage(records: &Records) -> Vec<u8> {
    use geozero::{CoordDimensions, ToWkb as _};
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("layer.gpkg");
    let db = rusqlite::Connection::open(&path).unwrap();
    db.pragma_update(None, "journal_mode", "wal").unwrap();
    db.execute_batch(
        "CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT, srs_id INTEGER PRIMARY KEY, organization TEXT, organization_coordsys_id INTEGER, definition TEXT, description TEXT);
         INSERT INTO gpkg_spatial_ref_sys VALUES ('UTM 17N', 32617, 'EPSG', 32617, '', '');
         CREATE TABLE gpkg_contents (table_name TEXT PRIMARY KEY, data_type TEXT, identifier TEXT, srs_id INTEGER);
         INSERT INTO gpkg_contents VALUES ('parks', 'features', 'parks', 32617), ('notes', 'attributes', 'notes', 0);
         CREATE TABLE gpkg_geometry_columns (table_name TEXT, column_name TEXT, geometry_type_name TEXT, srs_id INTEGER, z INTEGER, m INTEGER);
         INSERT INTO gpkg_geometry_columns VALUES ('parks', 'geom', 'MULTIPOLYGON', 32617, 0, 0);
         CREATE TABLE parks (fid INTEGER PRIMARY KEY, geom BLOB, \"Block ID\" TEXT, built_up REAL);
         CREATE TABLE notes (id TEXT, text TEXT); INSERT INTO notes VALUES ('1', 'x');",
    )
    .unwrap();
    for block in &records.blocks {
        let wkb = geo::Geometry::MultiPolygon(block.shape.clone())
            .to_gpkg_wkb(CoordDimensions::xy(), Some(32617), vec![])
            .unwrap();
        db.execute("INSERT INTO parks (geom, \"Block ID\", built_up) VALUES (?1, ?2, 0.25)", (wkb, block.id.as_str()))
            .unwrap();
    }
    db.close().unwrap();
    std::fs::read(path).unwrap()
}

#[test]
fn geopackage_layers() {
    let blocks = with_blocks();
    let bytes = geopackage(&blocks);
    let mut records = programme();
    let report = import(Kind::Blocks, &Input::single("city.gpkg", bytes.clone()), &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    assert_eq!(records.blocks.len(), 3);
    assert_eq!(records.blocks[0].built_up, Share::new(0.25));
    for (one, other) in records.blocks.iter().zip(&blocks.blocks) {
        assert_eq!((&one.id, &one.shape), (&other.id, &other.shape));
    }
    let wishes = Wishes { layer: Some("rivers".to_owned()), ..Wishes::default() };
    let report = import(Kind::Blocks, &Input::single("city.gpkg", bytes), &wishes, &mut records);
    assert_eq!(codes(&report), ["I-132"]);
}

/// Shapefile in survey feet with an ESRI .prj, written here with the shapefile library, zipped.
#[test]
fn state_plane_feet_in_a_zip() {
    use crownhold_data::formats::crs::Crs;
    use shapefile::dbase::{FieldValue, TableWriterBuilder};
    use std::io::{Cursor, Write as _};

    let blocks = with_blocks();
    let (utm, feet) = (Crs::epsg(32617).unwrap(), Crs::epsg(2253).unwrap());
    let (mut shp, mut shx, mut dbf) = (Cursor::new(Vec::new()), Cursor::new(Vec::new()), Cursor::new(Vec::new()));
    {
        let shapes = shapefile::ShapeWriter::with_shx(&mut shp, &mut shx);
        let fields = TableWriterBuilder::new().add_character_field("BLOCK".try_into().unwrap(), 10);
        let mut writer = shapefile::Writer::new(shapes, fields.build_with_dest(&mut dbf));
        for block in &blocks.blocks {
            let ring: Vec<shapefile::Point> = block.shape.0[0]
                .exterior()
                .coords()
                .map(|c| utm.to(&feet, c.x, c.y).unwrap())
                .map(|(x, y)| shapefile::Point::new(x, y))
                .collect();
            let mut record = shapefile::dbase::Record::default();
            record.insert("BLOCK".to_owned(), FieldValue::Character(Some(block.id.to_string())));
            writer
                .write_shape_and_record(&shapefile::Polygon::new(shapefile::PolygonRing::Outer(ring)), &record)
                .unwrap();
        }
    }
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let prj = sample("wkt/2253.esri.wkt");
    for (name, bytes) in [("b.shp", shp.get_ref()), ("b.shx", shx.get_ref()), ("b.dbf", dbf.get_ref()), ("b.prj", &prj)]
    {
        zip.start_file(name, zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(bytes).unwrap();
    }
    let bytes = zip.finish().unwrap().into_inner();
    let mut records = programme();
    let report = import(Kind::Blocks, &Input::single("blocks.zip", bytes), &Wishes::default(), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    for (one, other) in records.blocks.iter().zip(&blocks.blocks) {
        let (got, put) = (one.area().as_square_metres(), other.area().as_square_metres());
        assert!((got - put).abs() < 1.0, "{got} for {put}");
    }
}

/// 1200 x 400 m of blocks in cells of 10 acres (40,468.6 m2, 201.2 m squares): land is kept whole.
#[test]
fn blocks_from_a_boundary_file() {
    let (shape, report) = outline(&file("good/blocks.geojson"), &Wishes::default(), &programme().programme);
    let shape = shape.unwrap_or_else(|| panic!("{}", told(&report)));
    let grid = Grid { cell: Area::acres(10.0), shape: CellShape::Square, least: Share::new(0.3).unwrap() };
    let blocks = blocks_from_boundary(&shape, &MultiPolygon(vec![]), grid);
    let total: f64 = blocks.iter().map(|b| b.area().as_square_metres()).sum();
    assert!((total - shape.unsigned_area()).abs() < 1.0);
    // 480,000 m2 over 40,468.6 m2 is 11.9 cells, in 2 rows of 6: none is a sliver.
    assert_eq!(blocks.len(), 12);
    assert!(blocks.iter().all(|b| b.canopy.is_none() && b.hosts.is_none()));
}

/// By hand: oaks of 20 and 10 cm, a maple of 10, ashes of 10 and 10: by diameter squared 500/100/200 of 800.
#[test]
fn host_shares_from_trees() {
    let mut records = with_blocks();
    let text = "tree id,species,dbh_cm,x,y\n1,red oak,20,418100,4761100\n2,white oak,10,418110,4761100\n\
                3,red maple,10,418120,4761100\n4,green ash,10,418130,4761100\n5,green ash,10,418140,4761100\n\
                6,mystery,99,418150,4761100\n7,red oak,10,418500,4761100\n";
    let report = bring(Kind::Trees, "trees.csv", text, &in_crs("EPSG:32617"), &mut records);
    assert!(!report.has_errors(), "{}", told(&report));
    assert_eq!(report.unknown_species.get("mystery"), Some(&1));
    let said = shares_from_trees(&mut records, TreeWeight::Diameter, false);
    let hosts = records.blocks[0].hosts.unwrap();
    assert!((hosts.susceptible.value() - 0.625).abs() < 1e-12);
    assert!((hosts.resistant.value() - 0.125).abs() < 1e-12);
    assert!((hosts.immune.value() - 0.25).abs() < 1e-12);
    assert_eq!(records.blocks[1].hosts, None, "one tree is too few");
    assert_eq!(said.iter().map(|p| p.code).collect::<Vec<_>>(), ["I-801", "I-802"]);
    insta::assert_snapshot!(said.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"));
    assert_eq!(shares_from_trees(&mut records, TreeWeight::Diameter, false).len(), 1, "only those still without");
    shares_from_trees(&mut records, TreeWeight::Count, true);
    assert!((records.blocks[0].hosts.unwrap().susceptible.value() - 0.4).abs() < 1e-12);
}

fn feature(geometry: &str) -> String {
    format!(r#"{{"type":"Feature","properties":{{"id":"1"}},"geometry":{geometry}}}"#)
}

/// Files that hold no outlines: what they hold is said, once.
#[test]
fn what_is_no_outline_is_told() {
    let layer = |features: &[String]| {
        let text = format!(r#"{{"type":"FeatureCollection","features":[{}]}}"#, features.join(","));
        Input::single("layer.geojson", text)
    };
    let line = feature(r#"{"type":"LineString","coordinates":[[-82.004,42.998],[-82.003,42.998]]}"#);
    let point = feature(r#"{"type":"Point","coordinates":[-82.004,42.998]}"#);
    let none = feature("null");
    let mut all = String::new();
    let inputs = [
        Input::single("trees.csv", "id,species,lon,lat\n1,red oak,-82.0035,42.9990\n2,red oak,-82.0034,42.9990\n"),
        layer(&[line.clone(), line.clone()]),
        layer(&[point.clone(), point]),
        layer(&[none.clone(), none]),
    ];
    for input in &inputs {
        let (shape, report) = outline(input, &Wishes::default(), &programme().programme);
        assert!(shape.is_none() && report.has_errors());
        all += &format!("== boundary: {}\n", told(&report));
        for kind in [Kind::Blocks, Kind::NoSpray] {
            let mut records = programme();
            let report = import(kind, input, &Wishes::default(), &mut records);
            assert!(report.has_errors(), "{}", told(&report));
            all += &format!("== {}\n", told(&report));
        }
    }
    insta::assert_snapshot!(all);
    let mut records = with_blocks();
    let report = import(Kind::Trees, &layer(&[line]), &Wishes::default(), &mut records);
    assert!(codes(&report).contains(&"I-401"), "{}", told(&report));
}
