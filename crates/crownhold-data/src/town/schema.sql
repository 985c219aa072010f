CREATE TABLE IF NOT EXISTS setting (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    shown INTEGER NOT NULL,
    plan INTEGER,
    contact TEXT NOT NULL,
    keep_days INTEGER NOT NULL
);
CREATE TABLE IF NOT EXISTS street (
    name TEXT NOT NULL,
    numbers TEXT NOT NULL,
    block TEXT NOT NULL
);
CREATE TABLE IF NOT EXISTS sighting (
    id INTEGER PRIMARY KEY,
    sent TEXT NOT NULL,
    seen TEXT NOT NULL,
    what TEXT NOT NULL,
    block TEXT,
    place TEXT NOT NULL,
    note TEXT NOT NULL
);
