-- Every key starts with the site, so that sites never mix and the tables can be split by site later.
-- Ids are the 16 bytes of a UUID. Instants are UTC milliseconds since 1970 as INTEGER; a moment that is a day alone keeps
-- the day as text in its second column and its stand-in, noon in the zone of the place, in the first. Days are YYYY-MM-DD.
-- Foreign keys are deferred to the commit, so that a batch may come in any order.

-- +goose Up
PRAGMA application_id = 1447973964;

CREATE TABLE sites (
    id          INTEGER PRIMARY KEY,
    uuid        BLOB NOT NULL UNIQUE CHECK (length(uuid) = 16),
    change      INTEGER NOT NULL DEFAULT 0 CHECK (change >= 0),
    created_at  INTEGER NOT NULL
) STRICT;

CREATE TABLE seasons (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    first_day   TEXT CHECK (first_day IS date(first_day)),
    last_day    TEXT CHECK (last_day IS date(last_day)),
    PRIMARY KEY (site_id, id),
    UNIQUE (site_id, name),
    CHECK (first_day <= last_day)
) STRICT, WITHOUT ROWID;

CREATE TABLE places (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    time_zone   TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    UNIQUE (site_id, name)
) STRICT, WITHOUT ROWID;

CREATE TABLE scales (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    stages      TEXT NOT NULL CHECK (json_valid(stages) AND json_type(stages) = 'array' AND json_array_length(stages) >= 2),
    ripe_stage  TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    UNIQUE (site_id, name)
) STRICT, WITHOUT ROWID;

-- A cultivar without a scale of its own has the default scale.
CREATE TABLE cultivars (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    name        TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 200),
    scale_id    BLOB,
    hold_days   REAL CHECK (hold_days > 0),
    note        TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    UNIQUE (site_id, name),
    FOREIGN KEY (site_id, scale_id) REFERENCES scales (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX cultivars_scale ON cultivars (site_id, scale_id);

CREATE TABLE plants (
    site_id         INTEGER NOT NULL REFERENCES sites (id),
    id              BLOB NOT NULL CHECK (length(id) = 16),
    version         INTEGER NOT NULL CHECK (version > 0),
    recorded_at     INTEGER NOT NULL,
    actor           TEXT NOT NULL,
    season_id       BLOB NOT NULL,
    place_id        BLOB NOT NULL,
    cultivar_id     BLOB NOT NULL,
    label           TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 200),
    sown_on         TEXT CHECK (sown_on IS date(sown_on)),
    transplanted_on TEXT CHECK (transplanted_on IS date(transplanted_on)),
    removed_on      TEXT CHECK (removed_on IS date(removed_on)),
    origin_id       BLOB CHECK (origin_id <> id),
    lot             TEXT NOT NULL,
    note            TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    UNIQUE (site_id, season_id, label),
    CHECK (sown_on IS NOT NULL OR transplanted_on IS NOT NULL),
    FOREIGN KEY (site_id, season_id) REFERENCES seasons (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, cultivar_id) REFERENCES cultivars (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, origin_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX plants_place ON plants (site_id, place_id);
CREATE INDEX plants_cultivar ON plants (site_id, cultivar_id);
CREATE INDEX plants_origin ON plants (site_id, origin_id) WHERE origin_id IS NOT NULL;
CREATE INDEX plants_label ON plants (site_id, label);

CREATE TABLE plant_moves (
    site_id  INTEGER NOT NULL REFERENCES sites (id),
    plant_id BLOB NOT NULL,
    moved_on TEXT NOT NULL CHECK (moved_on IS date(moved_on)),
    place_id BLOB NOT NULL,
    PRIMARY KEY (site_id, plant_id, moved_on),
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX plant_moves_place ON plant_moves (site_id, place_id);

CREATE TABLE visits (
    site_id         INTEGER NOT NULL REFERENCES sites (id),
    id              BLOB NOT NULL CHECK (length(id) = 16),
    version         INTEGER NOT NULL CHECK (version > 0),
    recorded_at     INTEGER NOT NULL,
    actor           TEXT NOT NULL,
    plant_id        BLOB NOT NULL,
    counted_at      INTEGER NOT NULL,
    counted_day     TEXT CHECK (counted_day IS date(counted_day)),
    counts          TEXT NOT NULL CHECK (json_valid(counts) AND json_type(counts) = 'object'),
    total           INTEGER CHECK (total BETWEEN 0 AND 100000),
    trusses_counted INTEGER CHECK (trusses_counted >= 0),
    trusses_total   INTEGER CHECK (trusses_total >= 0),
    truss           INTEGER CHECK (truss > 0),
    at_least        INTEGER NOT NULL CHECK (at_least IN (0, 1)),
    about           INTEGER NOT NULL CHECK (about IN (0, 1)),
    observer        TEXT NOT NULL,
    note            TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    CHECK (counts <> '{}' OR total IS NOT NULL),
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX visits_plant ON visits (site_id, plant_id, counted_at);
CREATE INDEX visits_time ON visits (site_id, counted_at);

-- A CHECK can't look inside the counts, so triggers do.
-- +goose StatementBegin
CREATE TRIGGER visits_counts_insert BEFORE INSERT ON visits
WHEN CASE WHEN json_valid(NEW.counts) THEN
    EXISTS (SELECT 1 FROM json_each(NEW.counts) WHERE type <> 'integer' OR value NOT BETWEEN 0 AND 100000) END
BEGIN
    SELECT RAISE(ABORT, 'a count is a whole number from 0 to 100000');
END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER visits_counts_update BEFORE UPDATE OF counts ON visits
WHEN CASE WHEN json_valid(NEW.counts) THEN
    EXISTS (SELECT 1 FROM json_each(NEW.counts) WHERE type <> 'integer' OR value NOT BETWEEN 0 AND 100000) END
BEGIN
    SELECT RAISE(ABORT, 'a count is a whole number from 0 to 100000');
END;
-- +goose StatementEnd

-- A picking or loss is of a plant, or of a unit: all plants of one cultivar at one place in one season.
CREATE TABLE pickings (
    site_id      INTEGER NOT NULL REFERENCES sites (id),
    id           BLOB NOT NULL CHECK (length(id) = 16),
    version      INTEGER NOT NULL CHECK (version > 0),
    recorded_at  INTEGER NOT NULL,
    actor        TEXT NOT NULL,
    plant_id     BLOB,
    season_id    BLOB,
    place_id     BLOB,
    cultivar_id  BLOB,
    picked_at    INTEGER NOT NULL,
    picked_day   TEXT CHECK (picked_day IS date(picked_day)),
    stage        TEXT NOT NULL CHECK (stage <> ''),
    fruits       INTEGER CHECK (fruits BETWEEN 0 AND 100000),
    mass_g       REAL CHECK (mass_g >= 0),
    weighing     TEXT NOT NULL,
    grade        TEXT NOT NULL CHECK (grade IN ('marketable', 'cull')),
    brix         REAL CHECK (brix >= 0),
    taste        INTEGER CHECK (taste BETWEEN 1 AND 9),
    before_count INTEGER NOT NULL CHECK (before_count IN (0, 1)),
    note         TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    CHECK (fruits IS NOT NULL OR mass_g IS NOT NULL),
    CHECK ((plant_id IS NULL) = (season_id IS NOT NULL) AND (season_id IS NULL) = (place_id IS NULL)
        AND (season_id IS NULL) = (cultivar_id IS NULL)),
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, season_id) REFERENCES seasons (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, cultivar_id) REFERENCES cultivars (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX pickings_plant ON pickings (site_id, plant_id, picked_at);
CREATE INDEX pickings_time ON pickings (site_id, picked_at);
CREATE INDEX pickings_season ON pickings (site_id, season_id) WHERE season_id IS NOT NULL;
CREATE INDEX pickings_place ON pickings (site_id, place_id) WHERE place_id IS NOT NULL;
CREATE INDEX pickings_cultivar ON pickings (site_id, cultivar_id) WHERE cultivar_id IS NOT NULL;

CREATE TABLE losses (
    site_id      INTEGER NOT NULL REFERENCES sites (id),
    id           BLOB NOT NULL CHECK (length(id) = 16),
    version      INTEGER NOT NULL CHECK (version > 0),
    recorded_at  INTEGER NOT NULL,
    actor        TEXT NOT NULL,
    plant_id     BLOB,
    season_id    BLOB,
    place_id     BLOB,
    cultivar_id  BLOB,
    lost_at      INTEGER NOT NULL,
    lost_day     TEXT CHECK (lost_day IS date(lost_day)),
    stage        TEXT NOT NULL CHECK (stage <> ''),
    fruits       INTEGER NOT NULL CHECK (fruits BETWEEN 0 AND 100000),
    cause        TEXT NOT NULL CHECK (cause IN
        ('dropped', 'split', 'dried', 'rotted', 'pest', 'disease', 'thinned', 'cleared', 'other')),
    before_count INTEGER NOT NULL CHECK (before_count IN (0, 1)),
    note         TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    CHECK ((plant_id IS NULL) = (season_id IS NOT NULL) AND (season_id IS NULL) = (place_id IS NULL)
        AND (season_id IS NULL) = (cultivar_id IS NULL)),
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, season_id) REFERENCES seasons (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, cultivar_id) REFERENCES cultivars (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX losses_plant ON losses (site_id, plant_id, lost_at);
CREATE INDEX losses_time ON losses (site_id, lost_at);
CREATE INDEX losses_season ON losses (site_id, season_id) WHERE season_id IS NOT NULL;
CREATE INDEX losses_place ON losses (site_id, place_id) WHERE place_id IS NOT NULL;
CREATE INDEX losses_cultivar ON losses (site_id, cultivar_id) WHERE cultivar_id IS NOT NULL;

CREATE TABLE diary (
    site_id         INTEGER NOT NULL REFERENCES sites (id),
    id              BLOB NOT NULL CHECK (length(id) = 16),
    version         INTEGER NOT NULL CHECK (version > 0),
    recorded_at     INTEGER NOT NULL,
    actor           TEXT NOT NULL,
    season_id       BLOB NOT NULL,
    plant_id        BLOB,
    noted_at        INTEGER NOT NULL,
    noted_day       TEXT CHECK (noted_day IS date(noted_day)),
    kind            TEXT NOT NULL CHECK (kind <> ''),
    ec_ds_m         REAL CHECK (ec_ds_m >= 0),
    ph              REAL CHECK (ph BETWEEN 0 AND 14),
    solution_c      REAL,
    pick_not_before TEXT CHECK (pick_not_before IS date(pick_not_before)),
    note            TEXT NOT NULL,
    PRIMARY KEY (site_id, id),
    FOREIGN KEY (site_id, season_id) REFERENCES seasons (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, plant_id) REFERENCES plants (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX diary_season ON diary (site_id, season_id, noted_at);
CREATE INDEX diary_plant ON diary (site_id, plant_id, noted_at) WHERE plant_id IS NOT NULL;
CREATE INDEX diary_time ON diary (site_id, noted_at);

-- Readings are kept in the order they are read: by place and time.
CREATE TABLE temperatures (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    place_id    BLOB NOT NULL,
    measured_at INTEGER NOT NULL,
    air_c       REAL NOT NULL CHECK (air_c >= -273.15),
    PRIMARY KEY (site_id, place_id, measured_at),
    UNIQUE (site_id, id),
    FOREIGN KEY (site_id, place_id) REFERENCES places (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX temperatures_time ON temperatures (site_id, measured_at, id);

CREATE TABLE germination (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    id          BLOB NOT NULL CHECK (length(id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    season_id   BLOB NOT NULL,
    cultivar_id BLOB NOT NULL,
    lot         TEXT NOT NULL,
    sown_on     TEXT NOT NULL CHECK (sown_on IS date(sown_on)),
    seeds       INTEGER NOT NULL CHECK (seeds > 0),
    counted_on  TEXT NOT NULL CHECK (counted_on IS date(counted_on)),
    emerged     INTEGER NOT NULL CHECK (emerged BETWEEN 0 AND seeds),
    PRIMARY KEY (site_id, id),
    CHECK (counted_on >= sown_on),
    FOREIGN KEY (site_id, season_id) REFERENCES seasons (site_id, id) DEFERRABLE INITIALLY DEFERRED,
    FOREIGN KEY (site_id, cultivar_id) REFERENCES cultivars (site_id, id) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;
CREATE INDEX germination_season ON germination (site_id, season_id, counted_on);
CREATE INDEX germination_cultivar ON germination (site_id, cultivar_id);
CREATE INDEX germination_time ON germination (site_id, counted_on);

-- Every version that is no longer the current one, and every deletion. body is the record as JSON.
CREATE TABLE history (
    site_id     INTEGER NOT NULL REFERENCES sites (id),
    kind        TEXT NOT NULL,
    record_id   BLOB NOT NULL CHECK (length(record_id) = 16),
    version     INTEGER NOT NULL CHECK (version > 0),
    recorded_at INTEGER NOT NULL,
    actor       TEXT NOT NULL,
    deleted     INTEGER NOT NULL CHECK (deleted IN (0, 1)),
    body        TEXT NOT NULL CHECK (json_valid(body)),
    PRIMARY KEY (site_id, kind, record_id, version)
) STRICT, WITHOUT ROWID;
