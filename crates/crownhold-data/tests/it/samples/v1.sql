-- A programme file of layout version 1, as SQL text. Frozen: it is what files of that version look like.
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
);
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
  season INTEGER, block TEXT, density_per_m2 DOUBLE, treatment TEXT, defoliation DOUBLE,
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
CREATE TRIGGER plans_are_kept BEFORE UPDATE ON plans
BEGIN SELECT RAISE(ABORT, 'a stored plan is never changed; store another one'); END;

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
CREATE INDEX journal_row_entry ON journal_row (entry);
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
INSERT INTO gpkg_spatial_ref_sys VALUES
  ('Undefined cartesian SRS', -1, 'NONE', -1, 'undefined', 'undefined cartesian coordinate reference system'),
  ('Undefined geographic SRS', 0, 'NONE', 0, 'undefined', 'undefined geographic coordinate reference system');
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]]', NULL);
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84 / UTM zone 17N', 32617, 'EPSG', 32617, 'PROJCS["WGS 84 / UTM zone 17N",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563,AUTHORITY["EPSG","7030"]],AUTHORITY["EPSG","6326"]],PRIMEM["Greenwich",0,AUTHORITY["EPSG","8901"]],UNIT["degree",0.0174532925199433,AUTHORITY["EPSG","9122"]],AUTHORITY["EPSG","4326"]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",-81],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1,AUTHORITY["EPSG","9001"]],AXIS["Easting",EAST],AXIS["Northing",NORTH],AUTHORITY["EPSG","32617"]]', NULL);
INSERT INTO crownhold_migration VALUES (1, 'the tables of a programme');
INSERT INTO programme VALUES (1, 'Pellwood', 2026, 32617, 'us', 1);
INSERT INTO resources VALUES (1, 90000.0, NULL);
INSERT INTO blocks VALUES (1, X'47500003697F000000000000006A184100000000206D184100000000D8ED5141000000000AEE51410106000000010000000103000000010000000500000000000000006A184100000000D8ED514100000000206D184100000000D8ED514100000000206D1841000000000AEE514100000000006A1841000000000AEE514100000000006A184100000000D8ED5141',
  'B-001', 'Mill Woods', 'recreation woodland', 0.7, 0.5, 0.3, 0.2, 12, 'public', 'not needed', NULL, 220.0, NULL, NULL);
INSERT INTO blocks VALUES (2, X'47500003697F000000000000206D1841000000004070184100000000D8ED5141000000000AEE51410106000000010000000103000000010000000500000000000000206D184100000000D8ED5141000000004070184100000000D8ED51410000000040701841000000000AEE514100000000206D1841000000000AEE514100000000206D184100000000D8ED5141',
  'B-002', 'Elm Street', 'residential', NULL, NULL, NULL, NULL, NULL, 'private', 'pending', NULL, NULL, NULL, NULL);
INSERT INTO plots VALUES (1, X'47500001697F0000010100000000000000906B184100000000F1ED5141', 'P1', 'B-001', 'fixed radius', NULL, 101.17);
INSERT INTO visits VALUES (1, 'V1', 'P1', '2025-10-20', 'B. Ranger', '');
INSERT INTO counts VALUES (1, 'V1', 1, 'all', NULL, 17, 4, 0);
INSERT INTO past_seasons VALUES (1, 2025, 'B-001', 0.08, 'aerial Btk once', 0.35);
INSERT INTO journal VALUES (1, '2025-11-01T09:00:00.000Z', 'A. Forester', 'programme made', NULL);
INSERT INTO journal VALUES (2, '2025-11-03T09:00:00.000Z', 'A. Forester', 'canopy of Mill Woods', NULL);
INSERT INTO journal_row VALUES (1, 2, 'blocks', '["B-001"]',
  '{"id":"B-001","canopy":0.6}', '{"id":"B-001","canopy":0.7}');
INSERT INTO gpkg_contents VALUES ('blocks', 'features', 'Blocks', 'Management units for which a tactic is chosen', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, 32617);
INSERT INTO gpkg_geometry_columns VALUES ('blocks', 'geom', 'MULTIPOLYGON', 32617, 0, 0);
INSERT INTO gpkg_extensions VALUES ('blocks', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
CREATE VIRTUAL TABLE rtree_blocks_geom USING rtree(id, minx, maxx, miny, maxy);
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
INSERT INTO gpkg_contents VALUES ('trees', 'features', 'Trees', 'Tree inventory', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, 32617);
INSERT INTO gpkg_geometry_columns VALUES ('trees', 'geom', 'POINT', 32617, 0, 0);
INSERT INTO gpkg_extensions VALUES ('trees', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
CREATE VIRTUAL TABLE rtree_trees_geom USING rtree(id, minx, maxx, miny, maxy);
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
INSERT INTO gpkg_contents VALUES ('plots', 'features', 'Survey plots', 'Egg-mass survey plots', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, 32617);
INSERT INTO gpkg_geometry_columns VALUES ('plots', 'geom', 'POINT', 32617, 0, 0);
INSERT INTO gpkg_extensions VALUES ('plots', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
CREATE VIRTUAL TABLE rtree_plots_geom USING rtree(id, minx, maxx, miny, maxy);
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
INSERT INTO gpkg_contents VALUES ('no_spray', 'features', 'No-spray areas', 'Areas that are not sprayed, with their buffers', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, 32617);
INSERT INTO gpkg_geometry_columns VALUES ('no_spray', 'geom', 'MULTIPOLYGON', 32617, 0, 0);
INSERT INTO gpkg_extensions VALUES ('no_spray', 'geom', 'gpkg_rtree_index', 'http://www.geopackage.org/spec120/#extension_rtree', 'write-only');
CREATE VIRTUAL TABLE rtree_no_spray_geom USING rtree(id, minx, maxx, miny, maxy);
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
INSERT INTO gpkg_contents VALUES ('programme', 'attributes', 'Programme', 'Name, season and reference system; one row', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('strata', 'attributes', 'Strata', 'Survey strata', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('visits', 'attributes', 'Visits', 'Visits to plots', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('counts', 'attributes', 'Counts', 'Egg masses counted at a visit, by substrate', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('weather_station', 'attributes', 'Weather stations', 'Stations; the first with usable days is used', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('weather_day', 'attributes', 'Daily weather', 'Degrees C and millimetres', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('hours_supply', 'attributes', 'Hours', 'Hours that crews and volunteers can work', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('resources', 'attributes', 'Resources', 'Money and the most area that may be sprayed; one row', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('decisions', 'attributes', 'Fixed decisions', 'What the manager decided about a block', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('past_seasons', 'attributes', 'Past seasons', 'Density, treatment and defoliation of past seasons', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('parameters', 'attributes', 'Parameters', 'The programme''s own values; delete a row to restore the default', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('parameter_defaults', 'attributes', 'Parameter defaults', 'For information; changes here have no effect', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('species', 'attributes', 'Species', 'Host class of tree species', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('plans', 'attributes', 'Plans', 'Stored plans; never changed', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO gpkg_contents VALUES ('journal', 'attributes', 'Journal', 'Every change: when, who, what', '2025-11-03T09:00:00.000Z', NULL, NULL, NULL, NULL, NULL);
INSERT INTO rtree_blocks_geom VALUES (1, 400000.0, 400200.0, 4700000.0, 4700200.0), (2, 400200.0, 400400.0, 4700000.0, 4700200.0);
INSERT INTO rtree_plots_geom VALUES (1, 400100.0, 400100.0, 4700100.0, 4700100.0);
