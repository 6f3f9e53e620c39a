-- The rows of counts.csv as they are, through a view: what sqlite3 does for the same file when it must find the plants by their
-- labels and put the counts together as well.
CREATE TABLE labels (label TEXT PRIMARY KEY, id TEXT NOT NULL) WITHOUT ROWID;
CREATE VIEW rows AS SELECT '' AS season, '' AS plant, '' AS counted_at, '' AS green, '' AS breaker, '' AS turning, '' AS red;
CREATE TRIGGER rows_insert INSTEAD OF INSERT ON rows BEGIN
    INSERT INTO visits
    SELECT 1, printf('%015x%017x', unixepoch(NEW.counted_at), CAST(substr(NEW.plant, 2) AS INTEGER)), 1, 1764000000000, 'import', id,
        unixepoch(NEW.counted_at) * 1000, '',
        json_object('breaker', CAST(NEW.breaker AS INTEGER), 'green', CAST(NEW.green AS INTEGER), 'red', CAST(NEW.red AS INTEGER),
            'turning', CAST(NEW.turning AS INTEGER)),
        '', '', '', '', 0, 0, '', ''
    FROM labels WHERE label = NEW.plant;
END;
