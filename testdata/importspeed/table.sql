-- The table `visits` as vinetally's migrations make it, but for what `.import` can't do: it knows text alone, so the ids are 32
-- hexadecimal digits instead of 16 bytes, an empty cell is '' instead of NULL, and the table isn't STRICT.
PRAGMA journal_mode = WAL;
PRAGMA synchronous = FULL;
PRAGMA foreign_keys = ON;
CREATE TABLE sites (id INTEGER PRIMARY KEY);
INSERT INTO sites VALUES (1);
CREATE TABLE plants (site_id INTEGER NOT NULL REFERENCES sites (id), id TEXT NOT NULL, PRIMARY KEY (site_id, id)) WITHOUT ROWID;
CREATE TABLE visits (
    site_id         INTEGER NOT NULL REFERENCES sites (id),
    id              TEXT NOT NULL CHECK (length(id) = 32),
    version         INTEGER NOT NULL CHECK (version > 0),
    recorded_at     INTEGER NOT NULL,
    actor           TEXT NOT NULL,
    plant_id        TEXT NOT NULL,
    counted_at      INTEGER NOT NULL,
    counted_day     TEXT CHECK (counted_day = '' OR counted_day IS date(counted_day)),
    counts          TEXT NOT NULL CHECK (json_valid(counts) AND json_type(counts) = 'object'),
    total           INTEGER CHECK (total = '' OR total BETWEEN 0 AND 100000),
    trusses_counted INTEGER CHECK (trusses_counted = '' OR trusses_counted >= 0),
    trusses_total   INTEGER CHECK (trusses_total = '' OR trusses_total >= 0),
    truss           INTEGER CHECK (truss = '' OR truss > 0),
    at_least        INTEGER NOT NULL CHECK (at_least IN (0, 1)),
    about           INTEGER NOT NULL CHECK (about IN (0, 1)),
    observer        TEXT NOT NULL,
    note            TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    CHECK (counts <> '{}' OR total <> ''),
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED
) WITHOUT ROWID;
CREATE INDEX visits_plant ON visits (site_id, plant_id, counted_at);
CREATE INDEX visits_time ON visits (site_id, counted_at);
CREATE TRIGGER visits_counts_insert BEFORE INSERT ON visits
WHEN CASE WHEN json_valid(NEW.counts) THEN
    EXISTS (SELECT 1 FROM json_each(NEW.counts) WHERE type <> 'integer' OR value NOT BETWEEN 0 AND 100000) END
BEGIN
    SELECT RAISE(ABORT, 'a count is a whole number from 0 to 100000');
END;
