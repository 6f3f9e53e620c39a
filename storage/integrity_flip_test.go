package storage

import (
	"context"
	"database/sql"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// sampleFile makes a closed database with records of every kind, with edits and deletions.
func sampleFile(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "trial.db")
	now := testNow
	db, err := Open(t.Context(), path, Options{Now: func() time.Time {
		now = now.Add(time.Second)
		return now
	}})
	if err != nil {
		t.Fatal(err)
	}
	s := db.Site()
	tr := newTrial(s, "sample", 5)
	mustApply(t, s, tr.base())
	visits := tr.visits(s, 25)
	mustApply(t, s, visits)
	mustApply(t, s, tr.rest(s))
	mustApply(t, s, []crop.Change{
		{Record: &crop.Germination{ID: s.NewID(), SeasonID: tr.season.ID, CultivarID: tr.cultivar.ID, Lot: "L1", SownOn: &crop.Date{Year: 2026, Month: 1, Day: 1},
			Seeds: new(10), CountedOn: &crop.Date{Year: 2026, Month: 1, Day: 9}, Emerged: new(8)}},
		{Record: &crop.Scale{ID: s.NewID(), Name: "two", RipeStage: "b", Stages: []crop.Stage{{Name: "a"}, {Name: "b", Description: "soft"}}}},
		{Record: &crop.Picking{ID: s.NewID(), Unit: crop.Unit{SeasonID: &tr.season.ID, PlaceID: &tr.place.ID, CultivarID: &tr.cultivar.ID},
			PickedAt: crop.DayMoment(crop.Date{Year: 2026, Month: 4, Day: 3}, time.UTC), MassG: new(81.5), Weighing: "w", Brix: new(5.5), Taste: new(7)}},
	})
	for round := range 4 {
		for i := range 30 {
			v := visits[i].Record.(*crop.Visit)
			v.Note = strings.Repeat("edited ", round+1)
		}
		mustApply(t, s, visits[:30])
	}
	for i := range 10 {
		visits[i].Delete = true
	}
	mustApply(t, s, visits[:10])
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	return path
}

// dump is all that a reader could see in a file, however it is read: every value of every table, the definitions, the
// planner's statistics. What was noted about the times of migrations is left out, since nobody ever reads it.
func dump(ctx context.Context, path string) (string, error) {
	pool, err := sql.Open(driverName, uri(path, readerQuery(1000)+"&immutable=1"))
	if err != nil {
		return "", err
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	all, err := readSchema(ctx, pool)
	if err != nil {
		return "", err
	}
	var b strings.Builder
	fmt.Fprintln(&b, all)
	layouts := map[string]layout{"sites": siteLayout, "history": historyLayout, "plant_moves": moveLayout}
	for _, kind := range crop.Kinds() {
		layouts[tables[kind].name] = tables[kind].written
	}
	for _, name := range []string{"sites", "seasons", "places", "scales", "cultivars", "plants", "plant_moves", "visits", "pickings", "losses",
		"diary", "temperatures", "germination", "history"} {
		rows, err := pool.QueryContext(ctx, "SELECT quote("+strings.Join(layouts[name].columns, ") || ',' || quote(")+") FROM "+name)
		if err != nil {
			return "", err
		}
		for rows.Next() {
			var text sql.RawBytes
			if err := rows.Scan(&text); err != nil {
				rows.Close()
				return "", err
			}
			b.Write(text)
			b.WriteByte('\n')
		}
		if err := rows.Err(); err != nil {
			return "", err
		}
	}
	var id int64
	if err := pool.QueryRowContext(ctx, `PRAGMA application_id`).Scan(&id); err != nil {
		return "", err
	}
	fmt.Fprintln(&b, id)
	return b.String(), nil
}

// TestCheckFindsEveryFlip changes one byte of a database file at a time, at random places, and holds Check to finding each
// change that changes anything a reader could see. In the space that no row uses a change does no harm and may pass.
func TestCheckFindsEveryFlip(t *testing.T) {
	path := sampleFile(t)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want, err := dump(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if checked, err := Check(t.Context(), path, CheckOptions{}); err != nil || !checked.Sound() {
		t.Fatalf("the sample isn't sound: %+v, %v", checked, err)
	}
	const flips = 400
	random := rand.New(rand.NewPCG(7, 20261125))
	harmful, found, refused := 0, 0, 0
	damaged := filepath.Join(t.TempDir(), "damaged.db")
	for i := range flips {
		at := random.IntN(len(whole))
		for i%2 == 0 && whole[at] == 0 { // half of them where something is written
			at = random.IntN(len(whole))
		}
		if i < 100 {
			at = i // the header of the file
		}
		bits := byte(1 + random.IntN(255))
		bytes := append([]byte{}, whole...)
		bytes[at] ^= bits
		if err := os.WriteFile(damaged, bytes, 0o644); err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		got, dumpErr := dump(ctx, damaged)
		checked, err := Check(ctx, damaged, CheckOptions{Plant: func(*crop.Trial, crop.ID) []string { return nil }})
		if ctx.Err() != nil {
			t.Errorf("byte %d ^ %#x: no end in a minute", at, bits)
		}
		cancel()
		told := err != nil || !checked.Sound()
		if dumpErr != nil || got != want {
			harmful++
			if !told {
				t.Errorf("byte %d of page %d ^ %#x: not found; reading gives %v\n%s", at%4096, at/4096+1, bits, dumpErr, firstDifference(want, got))
			}
		}
		if told {
			found++
		}
		if err != nil {
			refused++
		}
		if left, _ := filepath.Glob(damaged + "-*"); len(left) > 0 {
			t.Fatalf("check left %v", left)
		}
	}
	t.Logf("of %d flipped bytes in %d pages %d changed what a reader sees; %d were found, %d of them by refusing the file",
		flips, len(whole)/4096, harmful, found, refused)
	if harmful < flips/4 {
		t.Errorf("only %d of %d flips did harm, so the test says little", harmful, flips)
	}
}

func firstDifference(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range w {
		if i >= len(g) || w[i] != g[i] {
			return fmt.Sprintf("%.300s\n%.300s", w[i], append(g, "")[min(i, len(g))])
		}
	}
	return ""
}
