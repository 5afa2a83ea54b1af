"""The catalogue's tables, version by version: each entry takes a catalogue from the one before to its own."""

from __future__ import annotations

FIRST = """
CREATE TABLE state (name TEXT PRIMARY KEY, value INTEGER NOT NULL) WITHOUT ROWID;
INSERT INTO state VALUES ('changes', 0), ('to_sweep', 0);
CREATE TABLE customers (
    key INTEGER PRIMARY KEY, name TEXT NOT NULL, bike TEXT NOT NULL, folded TEXT NOT NULL, UNIQUE (name, bike));
CREATE TABLE days (key INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE, date TEXT NOT NULL, place TEXT NOT NULL);
CREATE INDEX days_by_date ON days (date);
CREATE TABLE versions (
    key INTEGER PRIMARY KEY,
    day INTEGER NOT NULL REFERENCES days ON DELETE CASCADE,
    number INTEGER NOT NULL,
    newest INTEGER NOT NULL,
    content TEXT NOT NULL,
    kept_at TEXT NOT NULL,
    definitions INTEGER NOT NULL,
    title TEXT NOT NULL,
    bike TEXT NOT NULL,
    bike_folded TEXT NOT NULL,
    trail TEXT NOT NULL,
    headline TEXT NOT NULL,
    setups TEXT NOT NULL,
    verdicts TEXT NOT NULL,
    folded TEXT NOT NULL,
    customer INTEGER REFERENCES customers,
    UNIQUE (day, number));
CREATE INDEX versions_by_bike ON versions (bike_folded) WHERE newest;
CREATE INDEX versions_by_customer ON versions (customer);
CREATE TABLE setups (
    key INTEGER PRIMARY KEY,
    version INTEGER NOT NULL REFERENCES versions ON DELETE CASCADE,
    place INTEGER NOT NULL,
    name TEXT NOT NULL,
    is_left INTEGER NOT NULL);
CREATE INDEX setups_by_version ON setups (version);
CREATE TABLE settings (
    key INTEGER PRIMARY KEY, name TEXT NOT NULL, end TEXT NOT NULL, text TEXT NOT NULL, number REAL,
    UNIQUE (name, end, text));
CREATE TABLE in_force (
    setup INTEGER NOT NULL REFERENCES setups ON DELETE CASCADE,
    setting INTEGER NOT NULL REFERENCES settings,
    PRIMARY KEY (setup, setting)) WITHOUT ROWID;
CREATE INDEX in_force_by_setting ON in_force (setting);
CREATE TABLE measures (
    key INTEGER PRIMARY KEY, measure TEXT NOT NULL, end TEXT NOT NULL, unit TEXT NOT NULL,
    UNIQUE (measure, end, unit));
CREATE TABLE measured (
    setup INTEGER NOT NULL REFERENCES setups ON DELETE CASCADE,
    measure INTEGER NOT NULL REFERENCES measures,
    value REAL NOT NULL,
    half REAL,
    n INTEGER NOT NULL,
    PRIMARY KEY (setup, measure)) WITHOUT ROWID;
CREATE TABLE verdicts (
    setup INTEGER NOT NULL REFERENCES setups ON DELETE CASCADE,
    measure INTEGER NOT NULL REFERENCES measures,
    verdict INTEGER NOT NULL,
    PRIMARY KEY (setup, measure)) WITHOUT ROWID;
CREATE TABLE files (
    sha256 BLOB NOT NULL,
    version INTEGER NOT NULL REFERENCES versions ON DELETE CASCADE,
    kind TEXT NOT NULL,
    PRIMARY KEY (sha256, version)) WITHOUT ROWID;
CREATE TABLE records_due (stem TEXT PRIMARY KEY, record BLOB) WITHOUT ROWID;
"""
ANEW = """
CREATE TABLE measured_anew (
    stem TEXT PRIMARY KEY, definitions INTEGER NOT NULL, is_alike INTEGER NOT NULL) WITHOUT ROWID;
"""
"""Versions that an unfinished re-analysis has been through: by which definitions, and whether all was the very same."""
PUT_TOGETHER = """
ALTER TABLE versions ADD COLUMN kind TEXT NOT NULL DEFAULT '';
ALTER TABLE versions ADD COLUMN cutoff_hz REAL;
ALTER TABLE setups ADD COLUMN front_travel_mm REAL;
ALTER TABLE setups ADD COLUMN rear_travel_mm REAL;
CREATE TABLE compared (
    setup INTEGER PRIMARY KEY REFERENCES setups ON DELETE CASCADE,
    against TEXT NOT NULL,
    open TEXT NOT NULL,
    differences BLOB NOT NULL);
CREATE TABLE changes (
    setup INTEGER NOT NULL REFERENCES compared ON DELETE CASCADE,
    name TEXT NOT NULL,
    end TEXT NOT NULL,
    words TEXT NOT NULL,
    before TEXT NOT NULL,
    after TEXT NOT NULL,
    before_number REAL,
    after_number REAL,
    unit TEXT NOT NULL,
    PRIMARY KEY (setup, name, end)) WITHOUT ROWID;
CREATE INDEX changes_by_name ON changes (name);
"""
"""What differed on a day is packed, as `differences` says: a table of so many rows would take thrice the room."""
LENDING = """
ALTER TABLE versions ADD COLUMN riders TEXT NOT NULL DEFAULT '[]';
ALTER TABLE versions ADD COLUMN asked_cutoff_hz REAL NOT NULL DEFAULT 0;
ALTER TABLE versions ADD COLUMN layouts TEXT NOT NULL DEFAULT '';
CREATE INDEX all_versions_by_bike ON versions (bike_folded);
CREATE TABLE spreads (
    version INTEGER NOT NULL REFERENCES versions ON DELETE CASCADE,
    measure INTEGER NOT NULL REFERENCES measures,
    variance REAL NOT NULL,
    nu REAL NOT NULL,
    PRIMARY KEY (version, measure)) WITHOUT ROWID;
"""
LABELLED = """
ALTER TABLE setups ADD COLUMN label TEXT NOT NULL DEFAULT '';
"""
"""Empty of setups entered before: they are told by their name."""
MIGRATIONS: tuple[str, ...] = (FIRST, ANEW, PUT_TOGETHER, LENDING, LABELLED)
"""The version of a catalogue is how many of these it has been through."""
