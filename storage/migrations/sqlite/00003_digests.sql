-- Each version of a record has a digest over what is stored of it and over the digest of the version before; digest.go says
-- how. The rows that are there get theirs after the migrations, and PRAGMA user_version then tells that they have.

-- +goose Up
ALTER TABLE sites ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE seasons ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE places ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE scales ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE cultivars ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE plants ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE visits ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE pickings ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE losses ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE diary ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE temperatures ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE germination ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
ALTER TABLE history ADD COLUMN digest INTEGER NOT NULL DEFAULT 0;
