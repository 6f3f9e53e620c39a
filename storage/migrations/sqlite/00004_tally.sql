-- How many records a site has, counted as they come and go in the program, so that check can tell when one was taken away
-- in another way.

-- +goose Up
ALTER TABLE sites ADD COLUMN records INTEGER NOT NULL DEFAULT 0 CHECK (records >= 0);
UPDATE sites SET records = (SELECT count(*) FROM seasons WHERE site_id = sites.id)
    + (SELECT count(*) FROM places WHERE site_id = sites.id)
    + (SELECT count(*) FROM scales WHERE site_id = sites.id)
    + (SELECT count(*) FROM cultivars WHERE site_id = sites.id)
    + (SELECT count(*) FROM plants WHERE site_id = sites.id)
    + (SELECT count(*) FROM visits WHERE site_id = sites.id)
    + (SELECT count(*) FROM pickings WHERE site_id = sites.id)
    + (SELECT count(*) FROM losses WHERE site_id = sites.id)
    + (SELECT count(*) FROM diary WHERE site_id = sites.id)
    + (SELECT count(*) FROM temperatures WHERE site_id = sites.id)
    + (SELECT count(*) FROM germination WHERE site_id = sites.id);
