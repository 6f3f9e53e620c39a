package demotrial

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"
)

// simulated is the one run that the tests look at.
var simulated = Simulate()

// record is one line of a file by column, with the line it stands on.
type record struct {
	line  int
	cells map[string]string
}

func (r record) plantKey() string { return r.cells["season"] + "|" + r.cells["plant"] }

func (r record) number(t testing.TB, column string) int {
	t.Helper()
	n, err := strconv.Atoi(r.cells[column])
	if err != nil || n < 0 {
		t.Fatalf("line %d: %s = %q; want a whole number of 0 or more", r.line, column, r.cells[column])
	}
	return n
}

// read parses a file of the trial.
func read(t testing.TB, file string) []record {
	t.Helper()
	content, ok := simulated.Files[file]
	if !ok {
		t.Fatalf("no file %s", file)
	}
	r := csv.NewReader(bytes.NewReader(content))
	header, err := r.Read()
	if err != nil {
		t.Fatal(err)
	}
	var records []record
	for {
		cells, err := r.Read()
		if cells == nil {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		line, _ := r.FieldPos(0)
		rec := record{line, map[string]string{}}
		for i, name := range header {
			rec.cells[name] = cells[i]
		}
		records = append(records, rec)
	}
	return records
}

// byPlant groups a file's records by season and plant.
func byPlant(t testing.TB, file string) map[string][]record {
	t.Helper()
	groups := map[string][]record{}
	for _, r := range read(t, file) {
		groups[r.plantKey()] = append(groups[r.plantKey()], r)
	}
	return groups
}

// scaleOf returns the stages of a plant record's cultivar.
func scaleOf(plant record) []string {
	c := cultivarNamed(plant.cells["cultivar"])
	return c.stages[:]
}

// event is a count, picking or loss in the order that the file format states:
// at one time a loss that was found comes before the count, and what the grower
// took off comes after it.
type event struct {
	at   time.Time
	rank int
	file string
	record
}

var columnOfTime = map[string]string{counts: "counted_at", pickings: "picked_at", losses: "lost_at"}

// events returns a plant's counts, pickings and losses in order. A date alone
// is noon, or the time of the plant's only timed count of that day.
func events(t testing.TB, groups map[string]map[string][]record, key string) []event {
	t.Helper()
	timed := map[string][]time.Time{}
	for _, c := range groups[counts][key] {
		if at, err := time.Parse(time.RFC3339, c.cells["counted_at"]); err == nil {
			timed[dateOf(at)] = append(timed[dateOf(at)], at)
		}
	}
	var list []event
	for file, column := range columnOfTime {
		for _, r := range groups[file][key] {
			text := r.cells[column]
			at, err := time.Parse(time.RFC3339, text)
			if err != nil {
				at = clock(text, 12, 0)
				if len(timed[text]) == 1 {
					at = timed[text][0]
				}
			}
			rank := 1
			switch cause := r.cells["cause"]; {
			case file == pickings || cause == "thinned" || cause == "cleared":
				rank = 2
			case file == losses:
				rank = 0
			}
			list = append(list, event{at, rank, file, r})
		}
	}
	slices.SortStableFunc(list, func(a, b event) int {
		return cmp.Or(a.at.Compare(b.at), cmp.Compare(a.rank, b.rank), cmp.Compare(a.file, b.file), cmp.Compare(a.line, b.line))
	})
	return list
}

func allEvents(t testing.TB) map[string]map[string][]record {
	t.Helper()
	return map[string]map[string][]record{counts: byPlant(t, counts), pickings: byPlant(t, pickings), losses: byPlant(t, losses)}
}

func name(r record) string {
	return strings.TrimSuffix(r.cells["season"], " (invented)") + " " + r.cells["plant"]
}
