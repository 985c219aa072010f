-- Layout version 1 of the tables that hold a programme. SI units and degrees C; dates YYYY-MM-DD.
-- Columns are lenient on purpose: a row edited by hand in a GIS is judged when it is read, with a sentence
-- that names row and column, and not by a bare constraint error of the program it was edited in.

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
