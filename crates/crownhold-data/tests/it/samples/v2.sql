-- A programme file of layout version 2, as SQL text. Frozen: it is what files of that version look like.
-- Rows are put in before the R-tree triggers, which call functions that plain SQLite does not have.
PRAGMA application_id = 0x47504B47;
PRAGMA user_version = 10300;
CREATE TABLE crownhold_migration (version INTEGER PRIMARY KEY, what TEXT NOT NULL);
CREATE TABLE programme (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  name TEXT, season INTEGER, epsg INTEGER, units TEXT, invented BOOLEAN
);
CREATE TABLE blocks (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom MULTIPOLYGON,
  id TEXT UNIQUE, name TEXT, land_use TEXT, canopy DOUBLE,
  host_susceptible DOUBLE, host_resistant DOUBLE, host_immune DOUBLE,
  dwellings INTEGER, ownership TEXT, consent TEXT, stratum TEXT,
  elevation_m DOUBLE, built_up DOUBLE, survey_closed DATE
, neighbourhood TEXT);
CREATE TABLE trees (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  id TEXT UNIQUE, block TEXT, species TEXT, host_class TEXT, dbh_m DOUBLE, public BOOLEAN
);
CREATE TABLE plots (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom POINT,
  id TEXT UNIQUE, block TEXT REFERENCES blocks (id) DEFERRABLE INITIALLY DEFERRED,
  method TEXT, basal_area_factor_ft2_per_acre DOUBLE, area_m2 DOUBLE
);
CREATE TABLE no_spray (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  geom MULTIPOLYGON,
  id TEXT UNIQUE, kind TEXT, buffer_m DOUBLE, note TEXT
);
CREATE TABLE strata (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  id TEXT UNIQUE, name TEXT
);
CREATE TABLE visits (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  id TEXT UNIQUE, plot TEXT REFERENCES plots (id) DEFERRABLE INITIALLY DEFERRED,
  visited_on DATE, observer TEXT, note TEXT
);
CREATE TABLE counts (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  visit TEXT REFERENCES visits (id) DEFERRABLE INITIALLY DEFERRED,
  position INTEGER, substrate TEXT, dbh_m DOUBLE, new_masses INTEGER, old_masses INTEGER, out_of_reach INTEGER,
  UNIQUE (visit, position)
);
CREATE TABLE weather_station (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  id TEXT UNIQUE, position INTEGER, name TEXT, elevation_m DOUBLE, latitude DOUBLE, longitude DOUBLE
);
CREATE TABLE weather_day (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  station TEXT REFERENCES weather_station (id) DEFERRABLE INITIALLY DEFERRED,
  day DATE, min_c DOUBLE, max_c DOUBLE, precipitation_mm DOUBLE, forecast BOOLEAN,
  UNIQUE (station, day)
);
CREATE TABLE hours_supply (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  position INTEGER UNIQUE, workforce TEXT, period TEXT, neighbourhood TEXT, hours DOUBLE
);
CREATE TABLE resources (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  budget DOUBLE, most_sprayed_m2 DOUBLE
);
CREATE TABLE decisions (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  block TEXT REFERENCES blocks (id) DEFERRABLE INITIALLY DEFERRED,
  position INTEGER, rule TEXT, what TEXT, note TEXT,
  UNIQUE (block, position)
);
CREATE TABLE past_seasons (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  season INTEGER, block TEXT, density_per_m2 DOUBLE, treatment TEXT, defoliation DOUBLE, sprayed_m2 DOUBLE,
  UNIQUE (season, block)
);
CREATE TABLE parameters (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  name TEXT UNIQUE, form TEXT, a DOUBLE, b DOUBLE, c DOUBLE, unit TEXT, source TEXT
);
CREATE TABLE parameter_defaults (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  name TEXT UNIQUE, form TEXT, a DOUBLE, b DOUBLE, c DOUBLE, unit TEXT, meaning TEXT, source TEXT, known TEXT
);
CREATE TABLE species (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  scientific TEXT UNIQUE, position INTEGER, common TEXT, host_class TEXT, source TEXT, known TEXT
);
CREATE TABLE plans (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  name TEXT NOT NULL, made_at DATETIME NOT NULL, seed TEXT NOT NULL, json TEXT NOT NULL
);
CREATE TABLE journal (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  happened_at DATETIME NOT NULL, author TEXT NOT NULL, what TEXT NOT NULL,
  undoes INTEGER REFERENCES journal (fid)
);
CREATE TABLE journal_row (
  fid INTEGER PRIMARY KEY AUTOINCREMENT NOT NULL,
  entry INTEGER NOT NULL REFERENCES journal (fid),
  table_name TEXT NOT NULL, row_key TEXT NOT NULL, before TEXT, after TEXT
);
CREATE TABLE gpkg_spatial_ref_sys (
  srs_name TEXT NOT NULL,
  srs_id INTEGER PRIMARY KEY,
  organization TEXT NOT NULL,
  organization_coordsys_id INTEGER NOT NULL,
  definition TEXT NOT NULL,
  description TEXT
);
CREATE TABLE gpkg_contents (
  table_name TEXT NOT NULL PRIMARY KEY,
  data_type TEXT NOT NULL,
  identifier TEXT UNIQUE,
  description TEXT DEFAULT '',
  last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')),
  min_x DOUBLE,
  min_y DOUBLE,
  max_x DOUBLE,
  max_y DOUBLE,
  srs_id INTEGER,
  CONSTRAINT fk_gc_r_srs_id FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys(srs_id)
);
CREATE TABLE gpkg_geometry_columns (
  table_name TEXT NOT NULL,
  column_name TEXT NOT NULL,
  geometry_type_name TEXT NOT NULL,
  srs_id INTEGER NOT NULL,
  z TINYINT NOT NULL,
  m TINYINT NOT NULL,
  CONSTRAINT pk_geom_cols PRIMARY KEY (table_name, column_name),
  CONSTRAINT uk_gc_table_name UNIQUE (table_name),
  CONSTRAINT fk_gc_tn FOREIGN KEY (table_name) REFERENCES gpkg_contents(table_name),
  CONSTRAINT fk_gc_srs FOREIGN KEY (srs_id) REFERENCES gpkg_spatial_ref_sys (srs_id)
);
CREATE TABLE gpkg_extensions (
  table_name TEXT,
  column_name TEXT,
  extension_name TEXT NOT NULL,
  definition TEXT NOT NULL,
  scope TEXT NOT NULL,
  CONSTRAINT ge_tce UNIQUE (table_name, column_name, extension_name)
);
INSERT INTO crownhold_migration VALUES (1, 'the tables of a programme');
INSERT INTO crownhold_migration VALUES (2, 'neighbourhood of blocks; sprayed area of past seasons');
INSERT INTO programme VALUES (1, 'Pellwood', 2027, 32617, 'us', 1);
INSERT INTO blocks VALUES (1, X'47500003697f000000000000e86d1841000000000871184100000000d8ed5141000000000aee51410106000000010000000103000000010000000500000000000000e86d184100000000d8ed5141000000000871184100000000d8ed51410000000008711841000000000aee514100000000e86d1841000000000aee514100000000e86d184100000000d8ed5141', 'B-001', 'Block 1', 'recreation woodland', 0.62, 0.5, 0.3, 0.2, 31, 'mixed', 'pending', 'oak', 222.80880000000002, 0.17, '2026-11-30', 'North Side');
INSERT INTO blocks VALUES (2, X'47500003697f000000000000d071184100000000f074184100000000d8ed51410000000032ee51410106000000020000000103000000020000000500000000000000d071184100000000d8ed514100000000f074184100000000d8ed514100000000f0741841000000000aee514100000000d0711841000000000aee514100000000d071184100000000d8ed514105000000000000009872184100000080e4ed5141000000003873184100000080e4ed5141000000003873184100000080eeed5141000000009872184100000080eeed5141000000009872184100000080e4ed51410103000000010000000500000000000000d07118410000000023ee514100000000c07218410000000023ee514100000000c07218410000000032ee514100000000d07118410000000032ee514100000000d07118410000000023ee5141', 'B-002', 'Block 2', 'recreation woodland', 0.62, 0.5, 0.3, 0.2, 31, 'mixed', 'pending', 'oak', 222.80880000000002, 0.17, '2026-11-30', 'North Side');
INSERT INTO blocks VALUES (3, X'47500003697f000000000000b875184100000000d878184100000000d8ed5141000000000aee51410106000000010000000103000000010000000500000000000000b875184100000000d8ed514100000000d878184100000000d8ed514100000000d8781841000000000aee514100000000b8751841000000000aee514100000000b875184100000000d8ed5141', 'B-003', 'Block 3', 'recreation woodland', 0.62, 0.5, 0.3, 0.2, 31, 'mixed', 'pending', 'oak', 222.80880000000002, 0.17, '2026-11-30', 'North Side');
INSERT INTO blocks VALUES (4, X'47500003697f000000000000a079184100000000c07c184100000000d8ed5141000000000aee51410106000000010000000103000000010000000500000000000000a079184100000000d8ed514100000000c07c184100000000d8ed514100000000c07c1841000000000aee514100000000a0791841000000000aee514100000000a079184100000000d8ed5141', 'B-004', 'Block 4', 'recreation woodland', NULL, NULL, NULL, NULL, NULL, 'mixed', 'pending', NULL, NULL, NULL, '2026-12-01', NULL);
INSERT INTO trees VALUES (1, X'47500001697f0000010100000000000000ee6d184100000010d8ed5141', 'T1', NULL, 'Quercus rubra', NULL, NULL, 0);
INSERT INTO trees VALUES (2, X'47500001697f0000010100000000000000f26d184100000010d8ed5141', 'T2', 'B-001', 'Quercus rubra', 'susceptible', 0.3683, 1);
INSERT INTO plots VALUES (1, X'47500001697f0000010100000000000000b06e184100000000f1ed5141', 'P1', 'B-001', 'fixed radius', NULL, 101.17141056000001);
INSERT INTO plots VALUES (2, X'47500001697f0000010100000000000000b46e184100000000f1ed5141', 'P2', 'B-001', 'square', NULL, 101.17141056000001);
INSERT INTO plots VALUES (3, X'47500001697f0000010100000000000000b86e184100000000f1ed5141', 'P3', 'B-001', 'whole lot', NULL, 101.17141056000001);
INSERT INTO plots VALUES (4, X'47500001697f0000010100000000000000bc6e184100000000f1ed5141', 'P4', 'B-001', 'prism', 10.0, 101.17141056000001);
INSERT INTO plots VALUES (5, NULL, 'P5', 'B-001', 'timed walk', NULL, NULL);
INSERT INTO plots VALUES (6, X'47500001697f0000010100000000000000c46e184100000000f1ed5141', 'P6', 'B-001', 'burlap', NULL, NULL);
INSERT INTO plots VALUES (7, X'47500001697f0000010100000000000000c86e184100000000f1ed5141', 'P7', 'B-001', 'trap', NULL, NULL);
INSERT INTO no_spray VALUES (1, X'47500003697f000000000000106e184100000000886e184100000080daed514100000080dded51410106000000010000000103000000010000000500000000000000106e184100000080daed514100000000886e184100000080daed514100000000886e184100000080dded514100000000106e184100000080dded514100000000106e184100000080daed5141', 'W1', 'water', 45.72, 'Mill pond; "the duck" pond');
INSERT INTO strata VALUES (1, 'oak', 'Oak woods');
INSERT INTO visits VALUES (1, 'V1', 'P1', '2026-10-14', 'B. Ranger', '');
INSERT INTO visits VALUES (2, 'V2', 'P2', '2026-10-14', 'B. Ranger', '');
INSERT INTO visits VALUES (3, 'V3', 'P4', '2026-10-14', 'B. Ranger', '');
INSERT INTO counts VALUES (1, 'V1', 1, 'trees', NULL, 12, 3, 2);
INSERT INTO counts VALUES (2, 'V1', 2, 'ground', NULL, 0, 3, 2);
INSERT INTO counts VALUES (3, 'V1', 3, 'trees', NULL, 1, 3, 2);
INSERT INTO counts VALUES (4, 'V3', 1, 'trees', 0.27940000000000004, 7, 3, 2);
INSERT INTO weather_station VALUES (1, 'A-old', 2, 'Station A-old', NULL, NULL, NULL);
INSERT INTO weather_station VALUES (2, 'Z-main', 1, 'Station Z-main', 212.0, 42.44, -81.9);
INSERT INTO weather_day VALUES (1, 'A-old', '2025-12-25', NULL, -2.6000000000000014, NULL, 0);
INSERT INTO hours_supply VALUES (1, 1, 'volunteers', 'winter', 'North Side', 80.0);
INSERT INTO hours_supply VALUES (2, 2, 'crew', 'spring', NULL, 240.5);
INSERT INTO resources VALUES (1, 120000.0, 3642170.78016);
INSERT INTO decisions VALUES (1, 'B-001', 1, 'never fly', NULL, 'hospital');
INSERT INTO decisions VALUES (2, 'B-001', 2, 'never', 'bands', '');
INSERT INTO decisions VALUES (3, 'B-002', 1, 'take', 'scraping + bands', 'pilot');
INSERT INTO decisions VALUES (4, 'B-003', 1, 'always fly', NULL, '');
INSERT INTO past_seasons VALUES (1, 2025, 'B-002', 0.07833240592509141, 'aerial Btk once', 0.4, 40063.87858176);
INSERT INTO past_seasons VALUES (2, 2026, 'B-001', NULL, 'aerial Btk once', NULL, NULL);
INSERT INTO parameter_defaults VALUES (1, 'aerial.crew_hours', 'number', 6.0, NULL, NULL, 'hours per block and application', 'checking leaf and instar, watching the flight, answering the telephone', 'no source', 'assumption');
INSERT INTO parameter_defaults VALUES (2, 'aerial.in_time', 'number', 0.9, NULL, NULL, 'chance', 'chance that a flight meets flying weather and an aircraft on its days of leaf and instar, given that there are such days; multiplied by the share of the season''s draws that have them', 'no source; windows are days wide and fit mornings few. Replace it by your own record of mornings flown', 'assumption');
INSERT INTO parameter_defaults VALUES (3, 'aerial.interval', 'number', 7.0, NULL, NULL, 'days', 'days between two applications; the second is lost where the window is shorter', '7 to 10 days, 7 to 14 in Illinois (programme pages of several states)', 'published');
INSERT INTO species VALUES (1, 'Acer negundo', 59, 'boxelder; box elder; manitoba maple; ash-leaved maple', 'resistant', 'USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: not favoured (fed on by some stages)', 'published');
INSERT INTO species VALUES (2, 'Acer platanoides', 60, 'norway maple', 'resistant', 'USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: the class of the genus, or of its named species', 'derived from published data');
INSERT INTO species VALUES (3, 'Acer rubrum', 61, 'red maple', 'resistant', 'USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: not favoured (fed on by some stages)', 'published');
INSERT INTO species VALUES (4, 'Acer saccharinum', 62, 'silver maple', 'resistant', 'USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: the class of the genus, or of its named species', 'derived from published data');
INSERT INTO species VALUES (5, 'Acer saccharum', 63, 'sugar maple; hard maple', 'resistant', 'USDA Forest Service, Southern Research Station, Compass issue 9, host plant list: not favoured. Ontario''s list of hosts disagrees: stripped there in outbreaks', 'published');
INSERT INTO plans VALUES (1, 'least spray', '2026-11-02T14:30:00.000Z', '7', '{"blocks": []}');
INSERT INTO journal VALUES (1, '2026-11-02T14:30:00.000Z', 'A. Forester', 'programme made', NULL);
INSERT INTO journal VALUES (2, '2026-11-02T14:30:00.000Z', 'A. Forester', 'sample records', NULL);
INSERT INTO journal VALUES (3, '2026-11-02T14:30:00.000Z', 'A. Forester', 'plan stored: least spray', NULL);
INSERT INTO journal VALUES (4, '2026-11-25T14:06:49.506Z', 'A. Forester', 'count closed on 2026-12-01: B-004', NULL);
INSERT INTO journal_row VALUES (97, 4, 'blocks', '["B-004"]', '{"id":"B-004","name":"Block 4","land_use":"recreation woodland","canopy":null,"host_susceptible":null,"host_resistant":null,"host_immune":null,"dwellings":null,"ownership":"mixed","consent":"pending","stratum":null,"neighbourhood":null,"elevation_m":null,"built_up":null,"survey_closed":null,"geom":{"hex":"47500003697f000000000000a079184100000000c07c184100000000d8ed5141000000000aee51410106000000010000000103000000010000000500000000000000a079184100000000d8ed514100000000c07c184100000000d8ed514100000000c07c1841000000000aee514100000000a0791841000000000aee514100000000a079184100000000d8ed5141"}}', '{"id":"B-004","name":"Block 4","land_use":"recreation woodland","canopy":null,"host_susceptible":null,"host_resistant":null,"host_immune":null,"dwellings":null,"ownership":"mixed","consent":"pending","stratum":null,"neighbourhood":null,"elevation_m":null,"built_up":null,"survey_closed":"2026-12-01","geom":{"hex":"47500003697f000000000000a079184100000000c07c184100000000d8ed5141000000000aee51410106000000010000000103000000010000000500000000000000a079184100000000d8ed514100000000c07c184100000000d8ed514100000000c07c1841000000000aee514100000000a0791841000000000aee514100000000a079184100000000d8ed5141"}}');
INSERT INTO gpkg_spatial_ref_sys VALUES ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system');
INSERT INTO gpkg_spatial_ref_sys VALUES ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system');
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]', NULL);
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84 / UTM zone 17N', 32617, 'EPSG', 32617, 'PROJCS["WGS 84 / UTM zone 17N",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",-81],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1,AUTHORITY["EPSG","9001"]],AXIS["Easting",EAST],AXIS["Northing",NORTH],AUTHORITY["EPSG","32617"]]', NULL);
INSERT INTO gpkg_contents VALUES ('blocks', 'features', 'Blocks', 'Management units for which a tactic is chosen', '2026-11-25T14:06:49.506Z', 400250.0, 4700000.0, 401200.0, 4700360.0, 32617);
INSERT INTO gpkg_contents VALUES ('trees', 'features', 'Trees', 'Tree inventory', '2026-11-02T14:30:00.000Z', 400251.5, 4700000.25, 400252.5, 4700000.25, 32617);
INSERT INTO gpkg_contents VALUES ('plots', 'features', 'Survey plots', 'Egg-mass survey plots', '2026-11-02T14:30:00.000Z', 400300.0, 4700100.0, 400306.0, 4700100.0, 32617);
INSERT INTO gpkg_contents VALUES ('no_spray', 'features', 'No-spray areas', 'Areas that are not sprayed, with their buffers', '2026-11-02T14:30:00.000Z', 400260.0, 4700010.0, 400290.0, 4700022.0, 32617);
INSERT INTO gpkg_contents VALUES ('programme', 'attributes', 'Programme', 'Name, season and reference system; one row', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('strata', 'attributes', 'Strata', 'Survey strata', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('visits', 'attributes', 'Visits', 'Visits to plots', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('counts', 'attributes', 'Counts', 'Egg masses counted at a visit, by substrate', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('weather_station', 'attributes', 'Weather stations', 'Stations; the first with usable days is used', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('weather_day', 'attributes', 'Daily weather', 'Degrees C and millimetres', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('hours_supply', 'attributes', 'Hours', 'Hours that crews and volunteers can work', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('resources', 'attributes', 'Resources', 'Money and the most area that may be sprayed; one row', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('decisions', 'attributes', 'Fixed decisions', 'What the manager decided about a block', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('past_seasons', 'attributes', 'Past seasons', 'Density, treatment and defoliation of past seasons', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('parameters', 'attributes', 'Parameters', 'The programme''s own values; delete a row to restore the default', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('parameter_defaults', 'attributes', 'Parameter defaults', 'For information; changes here have no effect', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('species', 'attributes', 'Species', 'Host class of tree species', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('plans', 'attributes', 'Plans', 'Stored plans; never changed', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('journal', 'attributes', 'Journal', 'Every change: when, who, what', '2026-11-02T14:30:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_geometry_columns VALUES ('blocks', 'geom', 'MULTIPOLYGON', 32617, 0, 0);
INSERT INTO gpkg_geometry_columns VALUES ('trees', 'geom', 'POINT', 32617, 0, 0);
INSERT INTO gpkg_geometry_columns VALUES ('plots', 'geom', 'POINT', 32617, 0, 0);
INSERT INTO gpkg_geometry_columns VALUES ('no_spray', 'geom', 'MULTIPOLYGON', 32617, 0, 0);
INSERT INTO gpkg_extensions VALUES ('blocks', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
INSERT INTO gpkg_extensions VALUES ('trees', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
INSERT INTO gpkg_extensions VALUES ('plots', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
INSERT INTO gpkg_extensions VALUES ('no_spray', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
CREATE VIRTUAL TABLE rtree_blocks_geom USING rtree(id, minx, maxx, miny, maxy);
INSERT INTO rtree_blocks_geom VALUES (1, 400250.0, 400450.0, 4700000.0, 4700200.0);
INSERT INTO rtree_blocks_geom VALUES (2, 400500.0, 400700.0, 4700000.0, 4700360.0);
INSERT INTO rtree_blocks_geom VALUES (3, 400750.0, 400950.0, 4700000.0, 4700200.0);
INSERT INTO rtree_blocks_geom VALUES (4, 401000.0, 401200.0, 4700000.0, 4700200.0);
CREATE VIRTUAL TABLE rtree_trees_geom USING rtree(id, minx, maxx, miny, maxy);
INSERT INTO rtree_trees_geom VALUES (1, 400251.5, 400251.5, 4700000.0, 4700000.5);
INSERT INTO rtree_trees_geom VALUES (2, 400252.5, 400252.5, 4700000.0, 4700000.5);
CREATE VIRTUAL TABLE rtree_plots_geom USING rtree(id, minx, maxx, miny, maxy);
INSERT INTO rtree_plots_geom VALUES (1, 400300.0, 400300.0, 4700100.0, 4700100.0);
INSERT INTO rtree_plots_geom VALUES (2, 400301.0, 400301.0, 4700100.0, 4700100.0);
INSERT INTO rtree_plots_geom VALUES (3, 400302.0, 400302.0, 4700100.0, 4700100.0);
INSERT INTO rtree_plots_geom VALUES (4, 400303.0, 400303.0, 4700100.0, 4700100.0);
INSERT INTO rtree_plots_geom VALUES (6, 400305.0, 400305.0, 4700100.0, 4700100.0);
INSERT INTO rtree_plots_geom VALUES (7, 400306.0, 400306.0, 4700100.0, 4700100.0);
CREATE VIRTUAL TABLE rtree_no_spray_geom USING rtree(id, minx, maxx, miny, maxy);
INSERT INTO rtree_no_spray_geom VALUES (1, 400260.0, 400290.0, 4700010.0, 4700022.0);
CREATE TRIGGER plans_are_kept BEFORE UPDATE ON plans
BEGIN SELECT RAISE(ABORT, 'a stored plan is never changed; store another one'); END;
CREATE INDEX journal_row_entry ON journal_row (entry);
CREATE TRIGGER rtree_blocks_geom_insert AFTER INSERT ON blocks
  WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_blocks_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_blocks_geom_update1 AFTER UPDATE OF geom ON blocks
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_blocks_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_blocks_geom_update2 AFTER UPDATE OF geom ON blocks
  WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_blocks_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_blocks_geom_update3 AFTER UPDATE ON blocks
  WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_blocks_geom WHERE id = OLD.fid;
  INSERT OR REPLACE INTO rtree_blocks_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_blocks_geom_update4 AFTER UPDATE ON blocks
  WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_blocks_geom WHERE id IN (OLD.fid, NEW.fid);
END;
CREATE TRIGGER rtree_blocks_geom_delete AFTER DELETE ON blocks
  WHEN OLD.geom NOT NULL
BEGIN
  DELETE FROM rtree_blocks_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_trees_geom_insert AFTER INSERT ON trees
  WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_trees_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_trees_geom_update1 AFTER UPDATE OF geom ON trees
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_trees_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_trees_geom_update2 AFTER UPDATE OF geom ON trees
  WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_trees_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_trees_geom_update3 AFTER UPDATE ON trees
  WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_trees_geom WHERE id = OLD.fid;
  INSERT OR REPLACE INTO rtree_trees_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_trees_geom_update4 AFTER UPDATE ON trees
  WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_trees_geom WHERE id IN (OLD.fid, NEW.fid);
END;
CREATE TRIGGER rtree_trees_geom_delete AFTER DELETE ON trees
  WHEN OLD.geom NOT NULL
BEGIN
  DELETE FROM rtree_trees_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_plots_geom_insert AFTER INSERT ON plots
  WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_plots_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_plots_geom_update1 AFTER UPDATE OF geom ON plots
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_plots_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_plots_geom_update2 AFTER UPDATE OF geom ON plots
  WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_plots_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_plots_geom_update3 AFTER UPDATE ON plots
  WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_plots_geom WHERE id = OLD.fid;
  INSERT OR REPLACE INTO rtree_plots_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_plots_geom_update4 AFTER UPDATE ON plots
  WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_plots_geom WHERE id IN (OLD.fid, NEW.fid);
END;
CREATE TRIGGER rtree_plots_geom_delete AFTER DELETE ON plots
  WHEN OLD.geom NOT NULL
BEGIN
  DELETE FROM rtree_plots_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_no_spray_geom_insert AFTER INSERT ON no_spray
  WHEN (NEW.geom NOT NULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_no_spray_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_no_spray_geom_update1 AFTER UPDATE OF geom ON no_spray
  WHEN OLD.fid = NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  INSERT OR REPLACE INTO rtree_no_spray_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_no_spray_geom_update2 AFTER UPDATE OF geom ON no_spray
  WHEN OLD.fid = NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_no_spray_geom WHERE id = OLD.fid;
END;
CREATE TRIGGER rtree_no_spray_geom_update3 AFTER UPDATE ON no_spray
  WHEN OLD.fid != NEW.fid AND (NEW.geom NOTNULL AND NOT ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_no_spray_geom WHERE id = OLD.fid;
  INSERT OR REPLACE INTO rtree_no_spray_geom VALUES (
    NEW.fid, ST_MinX(NEW.geom), ST_MaxX(NEW.geom), ST_MinY(NEW.geom), ST_MaxY(NEW.geom));
END;
CREATE TRIGGER rtree_no_spray_geom_update4 AFTER UPDATE ON no_spray
  WHEN OLD.fid != NEW.fid AND (NEW.geom ISNULL OR ST_IsEmpty(NEW.geom))
BEGIN
  DELETE FROM rtree_no_spray_geom WHERE id IN (OLD.fid, NEW.fid);
END;
CREATE TRIGGER rtree_no_spray_geom_delete AFTER DELETE ON no_spray
  WHEN OLD.geom NOT NULL
BEGIN
  DELETE FROM rtree_no_spray_geom WHERE id = OLD.fid;
END;
