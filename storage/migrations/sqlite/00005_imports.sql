-- An import reads and checks its files against one state of the site while others write, and must know in the end what they
-- wrote. While there is an import, every change notes the records that it touched; noted.go says how. Both tables are empty
-- most of the time.

-- +goose Up
CREATE TABLE imports (
    site_id INTEGER NOT NULL REFERENCES sites (id),
    id      BLOB NOT NULL CHECK (length(id) = 16),
    until   INTEGER NOT NULL, -- one that was killed is forgotten then
    PRIMARY KEY (site_id, id)
) STRICT, WITHOUT ROWID;

-- record_id is 16 zero bytes for more records of a kind than are noted one by one.
CREATE TABLE noted (
    site_id   INTEGER NOT NULL REFERENCES sites (id),
    change    INTEGER NOT NULL,
    kind      TEXT NOT NULL,
    record_id BLOB NOT NULL CHECK (length(record_id) = 16),
    PRIMARY KEY (site_id, change, kind, record_id)
) STRICT, WITHOUT ROWID;
