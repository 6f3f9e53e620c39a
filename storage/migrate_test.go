package storage

import (
	"database/sql"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestMigrateWithRows: a database of every earlier version of the tables, with rows in it, is brought up to date when it
// is opened, and everything in it is there and can be edited.
func TestMigrateWithRows(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new.db")
	db, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	newest := db.version
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if newest < 2 {
		t.Fatalf("the tables are of version %d, so there is nothing to migrate", newest)
	}
	for version := int64(1); version < newest; version++ {
		t.Run(fmt.Sprint("version ", version), func(t *testing.T) { migrateFrom(t, version) })
	}
}

func migrateFrom(t *testing.T, version int64) {
	path := filepath.Join(t.TempDir(), "old.db")
	oldFile(t, path, version)
	db, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := db.Ping(t.Context()); err != nil {
		t.Error(err)
	}
	var integrity string
	if err := db.pools[0].QueryRow(`PRAGMA integrity_check`).Scan(&integrity); err != nil || integrity != "ok" {
		t.Errorf("integrity: %s, %v", integrity, err)
	}
	var wrong int
	if err := db.pools[0].QueryRow(`SELECT count(*) FROM pragma_foreign_key_check`).Scan(&wrong); err != nil || wrong > 0 {
		t.Errorf("%d foreign keys lead nowhere, %v", wrong, err)
	}
	wantDigests(t, db, 13-1)
	s := db.Site()
	if c, err := s.Catalogue(t.Context()); err != nil || c.Change != 41 || len(c.Seasons) != 1 {
		t.Fatalf("catalogue %+v, %v; want change 41 and one season", c, err)
	}
	id := func(first byte) crop.ID { return crop.ID{0: first, 6: 0x80, 8: 0x80} }
	trial, err := s.LoadSeason(t.Context(), id(0xA1), Selection{Temperatures: true})
	if err != nil {
		t.Fatal(err)
	}
	got := fmt.Sprint(len(trial.Plants), len(trial.Plants[0].Moves), len(trial.Visits), len(trial.Pickings), len(trial.Losses), len(trial.Diary),
		len(trial.Temperatures), len(trial.Germination))
	if want := "1 1 1 1 1 1 1 1"; got != want {
		t.Errorf("plants, moves, counts, pickings, losses, diary, readings, germination: %s, want %s", got, want)
	}
	versions, err := s.History(t.Context(), crop.Visits, id(0xB1))
	if err != nil || len(versions) != 2 {
		t.Fatalf("%d versions of the count, %v; want 2", len(versions), err)
	}
	for i, want := range []int{3, 5} {
		v := versions[i].Record.(*crop.Visit)
		if v.Counts["green"] != want || v.CountedAt.String() != "2026-04-01" {
			t.Errorf("version %d: %d green on %s, want %d on 2026-04-01", i+1, v.Counts["green"], v.CountedAt, want)
		}
	}
	edited := *versions[1].Record.(*crop.Visit)
	edited.Note = "edited"
	out := mustApply(t, s, []crop.Change{{Record: &edited, Base: new(int64(2))}})
	if out[0].Version != 3 {
		t.Errorf("edited as version %d, want 3", out[0].Version)
	}
	wantDigests(t, db, 13)
}

// oldFile makes a database of an earlier version with rows in it.
func oldFile(t *testing.T, path string, version int64) {
	t.Helper()
	pool, err := sql.Open(driverName, uri(path, writerQuery(1000)))
	if err != nil {
		t.Fatal(err)
	}
	pool.SetMaxOpenConns(1)
	p, err := provider(pool)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := p.UpTo(t.Context(), version); err != nil {
		t.Fatal(err)
	}
	// Written in the columns of the first version. A later one that renames any must keep what they hold.
	if _, err := pool.Exec(rowsOfFirstVersion); err != nil {
		t.Fatal(err)
	}
	if err := pool.Close(); err != nil {
		t.Fatal(err)
	}
}

// rowsOfFirstVersion has one row of each table. Ids are a byte and the marks of a UUID.
var rowsOfFirstVersion = strings.NewReplacer(
	"{season}", "x'A1000000000080008000000000000000'", "{place}", "x'A2000000000080008000000000000000'",
	"{scale}", "x'A3000000000080008000000000000000'", "{cultivar}", "x'A4000000000080008000000000000000'",
	"{plant}", "x'A5000000000080008000000000000000'", "{visit}", "x'B1000000000080008000000000000000'",
	"{picking}", "x'B2000000000080008000000000000000'", "{loss}", "x'B3000000000080008000000000000000'",
	"{entry}", "x'B4000000000080008000000000000000'", "{reading}", "x'B5000000000080008000000000000000'",
	"{germination}", "x'B6000000000080008000000000000000'", "{site}", "x'C1000000000080008000000000000000'",
).Replace(`BEGIN;
INSERT INTO sites (id, uuid, change, created_at) VALUES (1, {site}, 41, 1770000000000);
INSERT INTO seasons (site_id, id, version, recorded_at, actor, name) VALUES (1, {season}, 1, 1770000000000, 'Ada', 'spring');
INSERT INTO places (site_id, id, version, recorded_at, actor, name, time_zone) VALUES (1, {place}, 1, 1770000000000, 'Ada', 'bench', '');
INSERT INTO scales (site_id, id, version, recorded_at, actor, name, stages, ripe_stage)
    VALUES (1, {scale}, 1, 1770000000000, 'Ada', 'two', '[{"name":"green"},{"name":"red"}]', 'red');
INSERT INTO cultivars (site_id, id, version, recorded_at, actor, name, scale_id, note)
    VALUES (1, {cultivar}, 1, 1770000000000, 'Ada', 'Pebble', {scale}, '');
INSERT INTO plants (site_id, id, version, recorded_at, actor, season_id, place_id, cultivar_id, label, sown_on, lot, note)
    VALUES (1, {plant}, 1, 1770000000000, 'Ada', {season}, {place}, {cultivar}, 'A1', '2026-01-01', '', '');
INSERT INTO plant_moves (site_id, plant_id, moved_on, place_id) VALUES (1, {plant}, '2026-02-01', {place});
INSERT INTO visits (site_id, id, version, recorded_at, actor, plant_id, counted_at, counted_day, counts, at_least, about, observer, note)
    VALUES (1, {visit}, 2, 1775050000000, 'Ada', {plant}, 1775044800000, '2026-04-01', '{"green":5}', 0, 0, '', '');
INSERT INTO pickings (site_id, id, version, recorded_at, actor, plant_id, picked_at, stage, fruits, weighing, grade, before_count, note)
    VALUES (1, {picking}, 1, 1775050000000, 'Ada', {plant}, 1775044800000, 'red', 2, '', 'marketable', 0, '');
INSERT INTO losses (site_id, id, version, recorded_at, actor, plant_id, lost_at, stage, fruits, cause, before_count, note)
    VALUES (1, {loss}, 1, 1775050000000, 'Ada', {plant}, 1775044800000, 'red', 1, 'split', 0, '');
INSERT INTO diary (site_id, id, version, recorded_at, actor, season_id, plant_id, noted_at, kind, note)
    VALUES (1, {entry}, 1, 1775050000000, 'Ada', {season}, {plant}, 1775044800000, 'pruned', '');
INSERT INTO temperatures (site_id, id, version, recorded_at, actor, place_id, measured_at, air_c)
    VALUES (1, {reading}, 1, 1775050000000, 'Ada', {place}, 1775044800000, 21.5);
INSERT INTO germination (site_id, id, version, recorded_at, actor, season_id, cultivar_id, lot, sown_on, seeds, counted_on, emerged)
    VALUES (1, {germination}, 1, 1775050000000, 'Ada', {season}, {cultivar}, '', '2026-01-01', 10, '2026-01-09', 8);
INSERT INTO history (site_id, kind, record_id, version, recorded_at, actor, deleted, body) VALUES (1, 'counts', {visit}, 1, 1775045000000, 'Ada', 0,
    '{"id":"b1000000-0000-8000-8000-000000000000","plant_id":"a5000000-0000-8000-8000-000000000000","counted_at":"2026-04-01","counts":{"green":3}}');
COMMIT;`)
