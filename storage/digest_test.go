package storage

import (
	"context"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// WrongDigests lists the versions and sites whose digest isn't that of what is stored.
func (db *DB) WrongDigests(ctx context.Context) (wrong []string, versions int, err error) {
	var d digester
	q := db.pools[0]
	sites, err := scanRows[siteRow](ctx, q, siteLayout, "SELECT "+siteLayout.selected("")+" FROM sites")
	if err != nil {
		return nil, 0, err
	}
	for i := range sites {
		s := &sites[i]
		if s.Digest != d.site(s) {
			wrong = append(wrong, fmt.Sprint("site ", s.ID))
		}
		err := eachVersion(ctx, q, s.ID, func(h *historyRow, previous int64) (int64, error) {
			versions++
			if h.Digest != d.history(h, previous) {
				wrong = append(wrong, fmt.Sprint(h.Kind, " ", crop.ID(h.RecordID), " version ", h.Version))
			}
			return h.Digest, nil
		})
		if err != nil {
			return nil, 0, err
		}
		for _, kind := range crop.Kinds() {
			err := eachRows(ctx, q, s.ID, tables[kind], func(rows []row, previous map[link]int64) error {
				for _, r := range rows {
					versions++
					id := r.base().id()
					if r.base().Digest != d.row(s.ID, kind, r, previous[link{kind, id}]) {
						wrong = append(wrong, fmt.Sprint(kind, " ", id))
					}
				}
				return nil
			})
			if err != nil {
				return nil, 0, err
			}
		}
	}
	return wrong, versions, nil
}

func wantDigests(t *testing.T, db *DB, versions int) {
	t.Helper()
	wrong, n, err := db.WrongDigests(t.Context())
	if err != nil || len(wrong) > 0 || n != versions {
		t.Errorf("%d versions, %v, wrong digests of %v; want %d and none", n, err, wrong, versions)
	}
}

// TestDigestGolden holds the encoding: if it changes, the digests of files that exist are wrong. The expected numbers are of
// Python's hashlib over the bytes put together by hand, as digest_golden.py in testdata does.
func TestDigestGolden(t *testing.T) {
	id := key{0: 0xB1, 6: 0x80, 8: 0x80}
	plant := key{0: 0xA5, 6: 0x80, 8: 0x80}
	var d digester
	v := &visitRow{
		RowBase: rowBase{SiteID: 1, ID: id, Version: 2, RecordedAt: 1775050000000, Actor: "Ada"}, PlantID: plant,
		CountedAt: 1775044800000, CountedDay: &day{Year: 2026, Month: 4, Day: 1}, Counts: `{"green":5}`, Total: new(0), AtLeast: true,
	}
	h := &historyRow{SiteID: 1, Kind: "counts", RecordID: id, Version: 1, RecordedAt: 1775045000000, Actor: "Ada", Body: `{"x":"ü"}`}
	first := d.history(h, 0)
	p := &pickingRow{RowBase: rowBase{SiteID: 1, ID: id, Version: 1}, PlantID: &plant, MassG: new(12.5), Grade: "cull"}
	site := &siteRow{ID: 1, UUID: id, Change: 41, CreatedAt: 1770000000000}
	got := []int64{first, d.row(1, crop.Visits, v, first), d.row(1, crop.Pickings, p, 0), d.site(site)}
	want := []int64{-4407192865367086944, 3994222762688356412, 4617915983130021560, 2819384794141781474}
	if !slices.Equal(got, want) {
		t.Errorf("digests %v, want %v", got, want)
	}
}

// TestDigestSeesEveryColumn changes one column of a row after the other.
func TestDigestSeesEveryColumn(t *testing.T) {
	var d digester
	for _, kind := range crop.Kinds() {
		tab := tables[kind]
		r, err := tab.toRow(recordOf(kind))
		if err != nil {
			t.Fatal(err)
		}
		seen := map[int64]string{d.row(0, kind, r, 0): "nothing"}
		note := func(what string, digest int64) {
			if was, ok := seen[digest]; ok {
				t.Errorf("%s: changing %s gives the same digest as changing %s", kind, what, was)
			}
			seen[digest] = what
		}
		note("the version before", d.row(0, kind, r, 1))
		note("the site", d.row(1, kind, r, 0))
		v := reflect.ValueOf(r).Elem()
		for i, column := range tab.layout.columns {
			if column == "site_id" { // the site is handed over
				continue
			}
			f := v.FieldByIndex(tab.layout.fields[i])
			was := reflect.New(f.Type()).Elem()
			was.Set(f)
			if f.Kind() == reflect.Pointer {
				f.Set(reflect.Zero(f.Type()))
				if !was.IsNil() {
					note(column+" to NULL", d.row(0, kind, r, 0))
				}
				f.Set(reflect.New(f.Type().Elem()))
				note(column+" to empty", d.row(0, kind, r, 0))
				f.Set(reflect.New(f.Type().Elem()))
				alter(f.Elem())
			} else {
				alter(f)
			}
			note(column, d.row(0, kind, r, 0))
			f.Set(was)
		}
		if p, ok := r.(*plantRow); ok {
			for _, moves := range [][]crop.Move{{{}}, {{}, {}}, {{PlaceID: crop.ID{1}}}, {{On: crop.Date{Day: 1}}}} {
				p.moves = moves
				note(fmt.Sprint("moves to ", moves), d.row(0, kind, r, 0))
			}
		}
	}
	a, b := &placeRow{Name: "ab", TimeZone: "c"}, &placeRow{Name: "a", TimeZone: "bc"}
	if d.row(1, crop.Places, a, 0) == d.row(1, crop.Places, b, 0) {
		t.Error("text that moves from one column to the next leaves the digest as it was")
	}
	if s := (siteRow{ID: 1}); d.site(&s) == d.site(&siteRow{ID: 2}) || d.site(&s) == d.site(&siteRow{ID: 1, UUID: key{1}}) ||
		d.site(&s) == d.site(&siteRow{ID: 1, CreatedAt: 1}) || d.site(&s)+1 != d.site(&siteRow{ID: 1, Change: 1}) {
		t.Error("the digest of a site doesn't see all of it")
	}
}

// recordOf is a record of a kind with what its row needs.
func recordOf(kind crop.Kind) crop.Record {
	switch rec := crop.New(kind).(type) {
	case *crop.Loss:
		rec.Fruits = new(1)
		return rec
	case *crop.Temperature:
		rec.AirC = new(1.5)
		return rec
	case *crop.Germination:
		rec.SownOn, rec.CountedOn, rec.Seeds, rec.Emerged = &crop.Date{}, &crop.Date{}, new(1), new(1)
		return rec
	default:
		return rec
	}
}

// alter changes a value to another one that isn't empty.
func alter(v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Int, reflect.Int64:
		v.SetInt(v.Int() + 1)
	case reflect.Float64:
		v.SetFloat(v.Float() + 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Array:
		v.Index(0).SetUint(v.Index(0).Uint() + 1)
	case reflect.Struct: // a day
		v.FieldByName("Day").SetInt(v.FieldByName("Day").Int() + 1)
	default:
		panic(v.Kind().String())
	}
}

// TestDigestsFollowEveryWrite: what is made, edited, deleted, made again and moved with a time zone has its digests.
func TestDigestsFollowEveryWrite(t *testing.T) {
	db := openTest(t)
	s := db.Site()
	wantDigests(t, db, 2) // the shipped scales
	tr := newTrial(s, "digests", 3)
	mustApply(t, s, tr.base())
	visits := tr.visits(s, 2)
	mustApply(t, s, visits)
	mustApply(t, s, tr.rest(s))
	day := &crop.Visit{ID: s.NewID(), PlantID: tr.plants[0].ID, CountedAt: crop.DayMoment(crop.Date{Year: 2026, Month: 4, Day: 2}, time.UTC),
		Counts: map[string]int{"red": 1}}
	mustApply(t, s, []crop.Change{{Record: day}})
	n := 2 + 3 + 3 + 6 + 3*3 + 100 + 1
	wantDigests(t, db, n)

	edit := func(note string) crop.Change { // each time another version
		v := *day
		v.Note = note
		return crop.Change{Record: &v}
	}
	mustApply(t, s, []crop.Change{edit("a"), edit("b")})
	mustApply(t, s, []crop.Change{edit("c")})
	wantDigests(t, db, n+3)
	gone := visits[0]
	gone.Delete = true
	mustApply(t, s, []crop.Change{gone})
	again := *visits[0].Record.(*crop.Visit)
	again.Note = "again"
	mustApply(t, s, []crop.Change{{Record: &again, Base: new(int64(2))}})
	wantDigests(t, db, n+5)

	before, err := s.Get(t.Context(), crop.Visits, day.ID)
	if err != nil {
		t.Fatal(err)
	}
	tr.place.TimeZone = "America/Lima"
	mustApply(t, s, []crop.Change{{Record: tr.place}})
	after, err := s.Get(t.Context(), crop.Visits, day.ID)
	if err != nil || before.Record.(*crop.Visit).CountedAt.At.Equal(after.Record.(*crop.Visit).CountedAt.At) {
		t.Errorf("noon didn't move with the zone, %v", err)
	}
	tr.plants[0].Moves = append(tr.plants[0].Moves, crop.Move{PlaceID: tr.place.ID, On: crop.Date{Year: 2026, Month: 4, Day: 1}})
	mustApply(t, s, []crop.Change{{Record: tr.plants[0]}})
	wantDigests(t, db, n+7)

	for _, damage := range []string{
		`UPDATE visits SET note = 'x' WHERE id = (SELECT min(id) FROM visits)`, `UPDATE history SET actor = 'x' WHERE version = 3`,
		`UPDATE plant_moves SET moved_on = '2026-04-03' WHERE moved_on = '2026-04-01'`, `UPDATE sites SET change = change + 1`,
		`DELETE FROM history WHERE version = 1 AND record_id IN (SELECT record_id FROM history WHERE version = 2)`,
	} {
		tx, err := db.pools[0].Begin()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := tx.Exec(damage); err != nil {
			t.Fatal(err)
		}
		if err := tx.Commit(); err != nil {
			t.Fatal(err)
		}
		wrong, _, err := db.WrongDigests(t.Context())
		if err != nil || len(wrong) == 0 {
			t.Errorf("%s: no digest is wrong, %v", damage, err)
		}
		t.Logf("%s: %s", damage, strings.Join(wrong, "; "))
	}
}

func BenchmarkDigest(b *testing.B) {
	v := &visitRow{Counts: `{"breaker":1,"green":23,"red":2,"turning":3}`, CountedAt: millisOf(time.Now()), Observer: "A"}
	v.RowBase = rowBase{SiteID: 1, Version: 1, Actor: "import"}
	var d digester
	b.ReportAllocs()
	for b.Loop() {
		d.row(1, crop.Visits, v, 0)
	}
}
