package csvfile

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

const (
	onePlant = "season,place,cultivar,plant,sown_on\n2026,north bench,Amberlin,A1,2026-02-01\n"
	oneCount = "season,plant,counted_at,green,breaker,turning,red\n2026,A1,2026-04-05T08:15,12,3,,0\n"
)

func TestPlantsAndCountsAloneAreEnough(t *testing.T) {
	m := newMemory()
	s := mustImport(t, m, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	want := "plants.csv: 1 row: 1 new\ncounts.csv: 1 row: 1 new\n" +
		`made because rows name them: season "2026", place "north bench", cultivar "Amberlin"` + "\n"
	if s.String() != want {
		t.Errorf("summary: got\n%swant\n%s", s, want)
	}
	visits := list[crop.Visit](m, nil)
	if len(visits) != 1 {
		t.Fatalf("got %d counts, want 1", len(visits))
	}
	v := visits[0]
	if got := v.CountedAt.String(); got != "2026-04-05T08:15:00Z" {
		t.Errorf("counted_at: got %s, want UTC where the place has no zone", got)
	}
	if _, counted := v.Counts["turning"]; counted {
		t.Error("an empty cell became a count; want the stage left out")
	}
	if red, counted := v.Counts["red"]; !counted || red != 0 {
		t.Errorf("red: got %d, %t, want 0 and counted", red, counted)
	}
}

func TestImportingTwiceAddsNothing(t *testing.T) {
	m := newMemory()
	mustImport(t, m, full, options())
	before, applied := m.dump(), m.applied
	s := mustImport(t, m, full, options())
	if after := m.dump(); after != before {
		t.Errorf("the second import changed the store: got\n%s\nwant\n%s", after, before)
	}
	if m.applied != applied {
		t.Error("the second import asked the store for changes; want none")
	}
	for _, f := range s.Files {
		if f.Unchanged != f.Rows || f.Rows == 0 {
			t.Errorf("%s: got %d of %d rows stored already, want all", f.File, f.Unchanged, f.Rows)
		}
	}
	if !strings.HasSuffix(s.String(), "nothing new\n") {
		t.Errorf("summary: got %q, want it to end with nothing new", s)
	}
}

// A file without ids and one with the ids that the store gave say the same.
func TestRowsWithoutIDMatchByKey(t *testing.T) {
	m := newMemory()
	mustImport(t, m, full, options())
	m2 := newMemory()
	dir := exportDir(t, m)
	mustImport(t, m2, readFiles(t, dir), options())
	s := mustImport(t, m2, full, options())
	if s.Changed() != 0 {
		t.Errorf("rows without ids changed records that were imported with ids:\n%s", s)
	}
}

func TestReplace(t *testing.T) {
	m := newMemory()
	mustImport(t, m, files{"plants.csv": onePlant, "counts.csv": oneCount}, options())
	changed := files{"counts.csv": "season,plant,counted_at,green,note\n2026,A1,2026-04-05T08:15,13,seen again\n"}
	_, err := importInto(m, changed, options())
	want := "counts.csv:2: green, note: the stored count differs (stored → here: green 12 → 13, note nothing → \"seen again\"); " +
		"mend the row, or import with --replace to let it take the stored one's place"
	if err == nil || err.Error() != want {
		t.Fatalf("got %v\nwant %s", err, want)
	}
	opts := options()
	opts.Replace = true
	s := mustImport(t, m, changed, opts)
	if got := s.Files[0]; got.Replaced != 1 || got.Created != 0 {
		t.Errorf("got %+v, want one row replaced", got)
	}
	v := list[crop.Visit](m, nil)[0]
	if v.Counts["green"] != 13 || v.Counts["breaker"] != 3 {
		t.Errorf("got %v; want green replaced and breaker, which the file has no column for, kept", v.Counts)
	}
}

func TestDryRunStoresNothing(t *testing.T) {
	m := newMemory()
	before := m.dump()
	opts := options()
	opts.DryRun = true
	s := mustImport(t, m, full, opts)
	if m.dump() != before {
		t.Error("a dry run stored something")
	}
	if s.Changed() == 0 || !strings.Contains(s.String(), "dry run: nothing was stored") {
		t.Errorf("got %q; want what would have been stored, and that it wasn't", s)
	}
}

// A dry run lists what would take a stored record's place, up to a thousand rows.
func TestDryRunListsReplacements(t *testing.T) {
	m := newMemory()
	var was, is strings.Builder
	for _, b := range []*strings.Builder{&was, &is} {
		b.WriteString("place,measured_at,air_c\n")
	}
	for i := range maxReplacements + 5 {
		at := testNow.Add(-time.Duration(i) * time.Hour).Format(time.RFC3339)
		fmt.Fprintf(&was, "bench,%s,20\n", at)
		fmt.Fprintf(&is, "bench,%s,21\n", at)
	}
	scale := "scale,position,stage,ripe,description\ntwo,1,green,,%s\ntwo,2,red,yes,\n"
	moves := "season,plant,place,moved_on\n2026,A1,%s,2026-03-01\n"
	mustImport(t, m, files{"plants.csv": onePlant, "counts.csv": oneCount, "temperatures.csv": was.String(), "scales.csv": fmt.Sprintf(scale, "unripe"),
		"moves.csv": fmt.Sprintf(moves, "bench")}, options())
	before := m.dump()
	o := options()
	o.DryRun, o.Replace = true, true
	s := mustImport(t, m, files{"counts.csv": "season,plant,counted_at,green,note\n2026,A1,2026-04-05T08:15,13,seen again\n", "temperatures.csv": is.String(),
		"scales.csv": fmt.Sprintf(scale, "not ripe"), "moves.csv": fmt.Sprintf(moves, "window")}, o)
	if m.dump() != before {
		t.Error("a dry run stored something")
	}
	text := s.String()
	for _, want := range []string{
		"would replace scales.csv:2: description unripe → \"not ripe\"\nwould replace scales.csv:3: with the scale's other stages\n",
		"would replace moves.csv:2: place bench → window\n",
		"would replace counts.csv:2: green 12 → 13, note nothing → \"seen again\"\n",
		"would replace temperatures.csv:2: air_c 20 → 21\n", "\nwould replace 9 more\n",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the summary doesn't say %q, but\n%.1000s", want, text)
		}
	}
	if n := strings.Count(text, "would replace "); n != maxReplacements+1 {
		t.Errorf("%d lines of what would be replaced, want %d", n, maxReplacements+1)
	}
	o.DryRun = false
	if s := mustImport(t, m, files{"scales.csv": fmt.Sprintf(scale, "not ripe")}, o); len(s.Replacements) > 0 || strings.Contains(s.String(), "would") {
		t.Errorf("an import says what it would do: %s", s)
	}
}

func TestCancelledImport(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	m := newMemory()
	if _, err := Import(ctx, m, full.sources(), options()); err == nil {
		t.Error("got no error from a cancelled import")
	}
	if m.applied != 0 {
		t.Error("a cancelled import stored something")
	}
}

func TestProgress(t *testing.T) {
	var calls []Progress
	opts := options()
	opts.Progress = func(p Progress) { calls = append(calls, p) }
	mustImport(t, newMemory(), files{"plants.csv": onePlant, "counts.csv": oneCount}, opts)
	want := []Progress{
		{File: "plants.csv", Rows: 1, Read: int64(len(onePlant)), Size: int64(len(onePlant)), Total: int64(len(onePlant + oneCount))},
		{File: "counts.csv", Rows: 1, Read: int64(len(oneCount)), Size: int64(len(oneCount)), Before: int64(len(onePlant)), Total: int64(len(onePlant + oneCount))},
	}
	if !slices.Equal(calls, want) {
		t.Errorf("got %+v\nwant %+v", calls, want)
	}
}

func TestLocalTimes(t *testing.T) {
	// Europe/Berlin went from 03:00 back to 02:00 on 26 October 2025 (IANA time zone database, rule EU: the last Sunday of
	// October, 01:00 UTC).
	places := "place,time_zone\nnorth bench,Europe/Berlin\nfar shelf,America/New_York\n"
	plants := "season,place,cultivar,plant,sown_on\n2026,north bench,Amberlin,A1,2025-09-01\n2026,north bench,Amberlin,A2,2025-09-01\n"
	moves := "season,plant,place,moved_on\n2026,A2,far shelf,2026-05-01\n"
	for _, c := range []struct{ name, plant, at, want string }{
		{"winter", "A1", "2026-02-03T08:15", "2026-02-03T08:15:00+01:00"},
		{"summer", "A1", "2026-06-03 08:15:30", "2026-06-03T08:15:30+02:00"},
		{"doubled is the first", "A1", "2025-10-26 02:30", "2025-10-26T02:30:00+02:00"},
		{"offset without seconds", "A1", "2025-10-26T02:30+01:00", "2025-10-26T02:30:00+01:00"},
		{"another offset", "A1", "2026-02-03T08:15:00Z", "2026-02-03T09:15:00+01:00"},
		{"milliseconds", "A1", "2026-02-03T08:15:00.1239+01:00", "2026-02-03T08:15:00.123+01:00"},
		{"day alone", "A1", "2026-02-03", "2026-02-03"},
		{"before the move", "A2", "2026-04-30T08:15", "2026-04-30T08:15:00+02:00"},
		{"after the move", "A2", "2026-05-01T08:15", "2026-05-01T08:15:00-04:00"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := newMemory()
			mustImport(t, m, files{"places.csv": places, "plants.csv": plants, "moves.csv": moves,
				"counts.csv": "season,plant,counted_at,red\n2026," + c.plant + "," + c.at + ",1\n"}, options())
			trial, err := m.Season(context.Background(), list[crop.Season](m, nil)[0].ID)
			if err != nil {
				t.Fatal(err)
			}
			if got := trial.Visits[0].CountedAt.String(); got != c.want {
				t.Errorf("got %s, want %s", got, c.want)
			}
		})
	}
}

func TestSeparatorsAndEnds(t *testing.T) {
	plain := "season,place,cultivar,plant,sown_on,note\n2026,bench,Amberlin,A1,2026-02-01,\"one, two\"\n2026,bench,Amberlin,A2,2026-02-01,\n"
	want := newMemory()
	mustImport(t, want, files{"plants.csv": plain}, options())
	for _, c := range []struct{ name, text string }{
		{"byte order mark", "\ufeff" + plain},
		{"CRLF", strings.ReplaceAll(plain, "\n", "\r\n")},
		{"no last line end", strings.TrimSuffix(plain, "\n")},
		{"semicolons", "season;place;cultivar;plant;sown_on;note\n2026;bench;Amberlin;A1;2026-02-01;one, two\n2026;bench;Amberlin;A2;2026-02-01;\n"},
		{"tabs", "season\tplace\tcultivar\tplant\tsown_on\tnote\n2026\tbench\tAmberlin\tA1\t2026-02-01\tone, two\n2026\tbench\tAmberlin\tA2\t2026-02-01\t\n"},
		{"columns in another order and case", " Note ,PLANT,sown_on,Cultivar,place,season\n\"one, two\",A1,2026-02-01,Amberlin,bench,2026\n,A2,2026-02-01,Amberlin,bench,2026\n"},
		{"columns that were emptied", "season,place,,cultivar,plant,sown_on,note,,\n2026,bench,,Amberlin,A1,2026-02-01,\"one, two\",,\n2026,bench, ,Amberlin,A2,2026-02-01,,,\n"},
		{"blank lines", "\n" + strings.Replace(plain, "\n", "\n\n,,,,,\n", 1) + ",,,,,\n"},
		{"everything quoted", `"season","place","cultivar","plant","sown_on","note"` + "\n" +
			`"2026","bench","Amberlin","A1","2026-02-01","one, two"` + "\n" + `"2026","bench","Amberlin","A2","2026-02-01",""` + "\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := newMemory()
			mustImport(t, got, files{"plants.csv": c.text}, options())
			if got.dump() != want.dump() {
				t.Errorf("got\n%s\nwant\n%s", got.dump(), want.dump())
			}
		})
	}
}

func TestDefaultsOfPickings(t *testing.T) {
	m := newMemory()
	mustImport(t, m, files{"plants.csv": onePlant, "pickings.csv": "season,plant,place,cultivar,picked_at,stage,fruits,mass_g,grade\n" +
		"2026,A1,,,2026-05-05,,3,,\n" + "2026,A1,,,2026-05-05,Turning,,41.5,CULL\n" + "2026,,north bench,Amberlin,2026-05-06,,7,80,\n"}, options())
	got := list[crop.Picking](m, nil)
	if p := got[0]; p.Stage != "red" || p.Grade != crop.Marketable || *p.Fruits != 3 || p.MassG != nil {
		t.Errorf("first picking: got %+v; want the ripe stage, marketable, no mass", p)
	}
	if p := got[1]; p.Stage != "turning" || p.Grade != crop.Cull || p.Fruits != nil || *p.MassG != 41.5 {
		t.Errorf("second picking: got %+v; want turning, cull, no fruits", p)
	}
	if p := got[2]; p.PlantID != nil || p.PlaceID == nil || p.CultivarID == nil || p.SeasonID == nil {
		t.Errorf("third picking: got %+v; want a unit's", p)
	}
}

func TestNowDefaultsToTheClock(t *testing.T) {
	m := newMemory()
	_, err := Import(context.Background(), m, files{"seasons.csv": "season\n2026\n", "places.csv": "place\nbench\n",
		"temperatures.csv": "place,measured_at,air_c\nbench," + time.Now().Add(time.Hour).UTC().Format(time.RFC3339) + ",20\n"}.sources(), Options{})
	if err == nil || !strings.Contains(err.Error(), "is in the future") {
		t.Errorf("got %v, want the reading of the next hour refused", err)
	}
}

// TestMinusSign: some languages' spreadsheets write a minus sign where others write a hyphen.
func TestMinusSign(t *testing.T) {
	m := newMemory()
	if _, err := Import(context.Background(), m, files{"seasons.csv": "season\n2026\n", "places.csv": "place,time_zone\nbench,UTC\n",
		"temperatures.csv": "place,measured_at,air_c\nbench,2026-01-05T08:00:00Z,\u22123.5\n"}.sources(), Options{}); err != nil {
		t.Fatal(err)
	}
	if got := readFiles(t, exportDir(t, m))["temperatures.csv"]; !strings.Contains(got, ",-3.5") {
		t.Errorf("got %q, want -3.5 °C", got)
	}
}
