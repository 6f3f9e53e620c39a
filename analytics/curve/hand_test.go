package curve_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

// here is where every plant of a hand-made bed stands: the zone of all its days.
type here struct{ zone string }

func (h here) Place(crop.ID) (*crop.Place, bool) { return &crop.Place{TimeZone: h.zone}, true }

// bed is one cultivar's plants from ledger scripts, sown on 1 January 2026 in UTC, and their curves.
func bed(t *testing.T, scripts ...string) curve.Result {
	t.Helper()
	plants, books := bedRecords(t, scripts...)
	return curve.Season(plants, books, here{"UTC"})
}

func bedRecords(t *testing.T, scripts ...string) ([]crop.PlantRecords, []ledger.Book) {
	t.Helper()
	cultivar := &crop.Cultivar{ID: crop.ID{0: 7}, Name: "Testling"}
	sown := crop.Date{Year: 2026, Month: time.January, Day: 1}
	var plants []crop.PlantRecords
	var books []ledger.Book
	for i, text := range scripts {
		script, err := ledgertest.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		r := script.Records
		r.Plant.ID, r.Plant.SownOn, r.Plant.CultivarID, r.Cultivar = crop.ID{0: 1, 15: byte(i)}, &sown, cultivar.ID, cultivar
		if r.Plant.Label == "A1" {
			r.Plant.Label = fmt.Sprintf("A%d", i+1)
		}
		plants = append(plants, r)
		books = append(books, ledger.Of(r))
	}
	return plants, books
}

// reds is a script of counts of red fruit alone, the first on 1 March 2026.
func reds(everyDays int, numbers ...int) string {
	var s strings.Builder
	day := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for _, n := range numbers {
		fmt.Fprintf(&s, "count %s red=%d\n", day.Format(time.DateOnly), n)
		day = day.AddDate(0, 0, everyDays)
	}
	return s.String()
}

func TestRefusals(t *testing.T) {
	const (
		few    = crop.InsufficientData
		no     = crop.NoFit
		rising = "The number that reached red was still rising at the last count, and the counts don't show where it will level off; go on counting until it slows down."
	)
	for _, c := range []struct {
		name, script string
		code         crop.Code
		reason       string
	}{
		{"never counted", "", few,
			"No count tells how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"counted, but not red", "count 2026-03-01 green=9\ncount 2026-03-08 green=9", few,
			"No count tells how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"one point", reds(3, 12), few,
			"Only one round of counting tells how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"five rounds", reds(3, 0, 4, 10, 16, 20), few,
			"Only 5 rounds of counting tell how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"twice a day is one round", `
			count 2026-03-01T08:00:00Z red=0
			count 2026-03-01T19:00:00Z red=1
			count 2026-03-04T08:00:00Z red=5
			count 2026-03-04T19:00:00Z red=6
			count 2026-03-07T08:00:00Z red=15
			count 2026-03-07T19:00:00Z red=16`, few,
			"Only 3 rounds of counting tell how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"given up, so not known", strings.ReplaceAll(reds(3, 0, 2, 6, 12, 18, 20, 21), "\n", " at_least\n"), few,
			"No count tells how many fruit had reached red; a curve needs 6. Counts of every stage from red on tell it."},
		{"all zeros", reds(3, 0, 0, 0, 0, 0, 0, 0, 0), few, "No fruit is known to have reached red so far; a curve needs 8."},
		{"one fruit", reds(3, 0, 0, 0, 1, 1, 1, 1), few, "Only one fruit is known to have reached red so far; a curve needs 8."},
		{"seven fruit", reds(3, 0, 1, 2, 4, 6, 7, 7, 7), few, "Only 7 fruit are known to have reached red so far; a curve needs 8."},
		{"ever faster", reds(3, 0, 1, 2, 4, 8, 16, 32), few, rising},
		{"steadily more", reds(3, 2, 5, 8, 11, 14, 17, 20, 23), few, rising},
		{"slower, but not slow", reds(3, 0, 1, 3, 7, 13, 19, 24), few, rising},
		{"always twenty", reds(3, 20, 20, 20, 20, 20, 20, 20, 20), no,
			"The number that reached red hardly rises from count to count, so there is no curve in it."},
		{"twenty or so", reds(3, 20, 21, 20, 19, 20, 21, 20, 20, 19, 21), no,
			"The number that reached red hardly rises from count to count, so there is no curve in it."},
		{"goes down", reds(3, 30, 30, 28, 22, 14, 6, 3, 2, 2, 2), no,
			"The number that reached red goes down from count to count, and fruit never goes back; look at what the ledger misses before fitting a curve."},
		{"up and down", reds(3, 0, 12, 3, 20, 8, 22, 11, 24, 9, 25), no,
			"The number that reached red goes up and down from count to count, and fruit never goes back; look at what the ledger misses before fitting a curve."},
		{"all at once", reds(7, 0, 0, 0, 20, 20, 20, 20), few,
			"Nearly all fruit reached red between the counts of 15 Mar 2026 and 22 Mar 2026; how the number rose in between nobody saw, so there is no curve."},
		{"two flushes", reds(3, 0, 1, 4, 10, 16, 19, 20, 20, 20, 20, 20, 20, 21, 24, 30, 36, 39, 40, 40, 40), no,
			"The counts show two flushes of red, around 10 Mar 2026 and 12 Apr 2026; one curve can't describe both."},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := bed(t, c.script)
			for _, x := range r.Curves {
				t.Errorf("got a curve of %s: %s %v", x.Stage, x.Family, x.Parameters)
			}
			wantRefusal(t, r, curve.ScopePlant, "Testling", "A1", "red", c.code, c.reason)
			if c.script != "" {
				wantRefusal(t, r, curve.ScopeCultivar, "Testling", "", "red", c.code, c.reason)
			}
			wantRefusal(t, r, curve.ScopePlant, "Testling", "A1", "breaker", few,
				"No count tells how many fruit had reached breaker; a curve needs 6. Counts of every stage from breaker on tell it.")
		})
	}
}

// TestRisingWhenEnded: whether counting on is advised depends on whether there is something left to count.
func TestRisingWhenEnded(t *testing.T) {
	rising := reds(3, 0, 1, 3, 7, 13, 19, 24) // the last count on 19 March
	const ends, goesOn = "nothing is left to count", "go on counting"
	for _, c := range []struct {
		name    string
		scripts []string
		over    bool
		want    string
	}{
		{"it stands", []string{rising}, false, goesOn},
		{"removed after the last count", []string{"plant A1 removed=2026-03-20\n" + rising}, false, ends},
		{"fruit was counted after the removal, so it wasn't", []string{"plant A1 removed=2026-03-10\n" + rising}, false, goesOn},
		{"one of two is removed", []string{"plant A1 removed=2026-03-20\n" + rising, rising}, false, goesOn},
		{"both are", []string{"plant A1 removed=2026-03-20\n" + rising, "plant A1 removed=2026-03-19\n" + rising}, false, ends},
		{"the season is past", []string{rising, rising}, true, ends},
	} {
		plants, books := bedRecords(t, c.scripts...)
		for i := range plants {
			plants[i].SeasonOver = c.over
		}
		r := curve.Season(plants, books, here{"UTC"})
		for _, x := range r.Refused {
			if x.Scope == curve.ScopeCultivar && x.Stage == "red" && (!strings.Contains(x.Reason, c.want) || c.want == ends && !strings.Contains(x.Reason, "19 Mar 2026")) {
				t.Errorf("%s: got %q, want it to say %q", c.name, x.Reason, c.want)
			}
		}
		if len(r.Curves) > 0 {
			t.Errorf("%s: got a curve", c.name)
		}
	}
}

// TestCleanPlant is one plant counted, picked and counted again, worked by hand: what ever reached red is what hangs red
// plus what was picked red before.
func TestCleanPlant(t *testing.T) {
	r := bed(t, `
		count 2026-03-01 red=0
		count 2026-03-04 red=1
		count 2026-03-07 red=3
		pick 2026-03-07 red 3       # after the count: 3 have gone
		count 2026-03-10 red=4      # 3 + 4 = 7
		count 2026-03-13 red=10     # 13
		pick 2026-03-13 red 8       # 11 have gone
		count 2026-03-16 red=8      # 19
		loss 2026-03-19 red 1 dropped  # found before that day's count: 12 have gone
		count 2026-03-19 red=11     # 23
		pick 2026-03-19 red 11      # 23 have gone
		count 2026-03-22 red=2      # 25
		count 2026-03-25 red=3      # 26
		count 2026-03-28 red=3      # 26
	`)
	var c *curve.Curve
	for i := range r.Curves {
		if r.Curves[i].Scope == curve.ScopePlant && r.Curves[i].Stage == "red" {
			c = &r.Curves[i]
		}
	}
	if c == nil {
		t.Fatalf("no curve of red: %+v", r.Refused)
	}
	want := []float64{0, 1, 3, 7, 13, 19, 23, 25, 26, 26}
	if len(c.Observed) != len(want) {
		t.Fatalf("observed %d rounds, want %d", len(c.Observed), len(want))
	}
	for i, o := range c.Observed {
		// Noon of 1 March is 59.5 days after the start of 1 January.
		if o.Value != want[i] || o.Days != 59.5+3*float64(i) || o.Plants != 1 {
			t.Errorf("round %d: got %v fruit on day %v of %d plants, want %v on %v of 1", i, o.Value, o.Days, o.Plants, want[i], 59.5+3*float64(i))
		}
	}
	if c.RestsOn != (curve.RestsOn{Visits: 10, Fruits: 26, Plants: 1}) {
		t.Errorf("rests on %+v, want 10 counts, 26 fruit, 1 plant", c.RestsOn)
	}
	if c.OriginOf != "sowing" || !c.Origin.Equal(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)) {
		t.Errorf("counts from %s, %s, want the sowing on 1 January", c.OriginOf, c.Origin)
	}
	if len(c.Warnings) != 0 {
		t.Errorf("warnings of a clean plant: %q", c.Warnings)
	}
	// The numbers stand symmetrically about 13 of 26 on 13 March noon, day 71.5, so a logistic of level 26 has its middle
	// there; the steps 7, 13, 19 are those of k = 0.33.
	if c.Family != "logistic" || c.T50 == nil || math.Abs(c.T50.Days-71.5) > 0.2 {
		t.Fatalf("got %s with t50 %+v, want a logistic with t50 on day 71.5", c.Family, c.T50)
	}
	if c.T10 == nil || c.T90 == nil || !(c.T10.Days < c.T50.Days && c.T50.Days < c.T90.Days) {
		t.Errorf("t10 %+v, t50 %+v, t90 %+v are not in order", c.T10, c.T50, c.T90)
	}
	for _, x := range []*curve.Crossing{c.T10, c.T50, c.T90} {
		if x != nil && (x.Low == nil || *x.Low >= x.Days || *x.High <= x.Days) {
			t.Errorf("interval of %+v does not hold it", x)
		}
	}
	if first, last := c.Line[0], c.Line[len(c.Line)-1]; first.Days != 59.5 || last.Days != 86.5 || first.Low == nil || *first.Low < 0 {
		t.Errorf("the line runs from %+v to %+v, want day 59.5 to 86.5 with a band above 0", first, last)
	}
}
