package ledger_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// mostOfStage is how many fruit of a stage the enumeration lets stand on one truss. All that is drawn to be known of two trusses is less,
// so a number that comes to as many has no end.
const mostOfStage = 17

// countedRow is a row of a count, of one truss or of the whole plant, with three stages of which some weren't told.
type countedRow struct {
	counts  map[string]int
	total   *int
	atLeast bool
}

func drawRow(t *rapid.T, scale *crop.Scale) countedRow {
	r := countedRow{counts: map[string]int{}, atLeast: rapid.IntRange(0, 4).Draw(t, "given up") == 0}
	sum := 0
	for i := range scale.Stages {
		if rapid.Bool().Draw(t, "told") {
			n := rapid.IntRange(0, 2).Draw(t, "fruit")
			r.counts[scale.Stages[i].Name] = n
			sum += n
		}
	}
	if all := len(r.counts) == len(scale.Stages); !all && (len(r.counts) == 0 || rapid.Bool().Draw(t, "total")) {
		r.total = new(sum + rapid.IntRange(0, 2).Draw(t, "more"))
	}
	return r
}

// allows tells whether so many fruit at each stage are what the row says.
func (r *countedRow) allows(stood [3]int, scale *crop.Scale) bool {
	sum := 0
	for s, n := range stood {
		sum += n
		told, ok := r.counts[scale.Stages[s].Name]
		if ok && (n < told || n > told && !r.atLeast) {
			return false
		}
	}
	return r.total == nil || sum == *r.total || r.atLeast && sum > *r.total
}

// span is the least and the most of a number over every possibility.
type span struct {
	low, high int
	some      bool
}

func (s *span) add(n int) {
	if !s.some || n < s.low {
		s.low = n
	}
	if !s.some || n > s.high {
		s.high = n
	}
	s.some = true
}

// plus is the span of the sum of two numbers that don't depend on each other.
func (s span) plus(u span) span { return span{s.low + u.low, s.high + u.high, true} }

// hold compares a span with the ledger's bounds; ends is false of a number that may be as large as one likes.
func (s *span) hold(t *rapid.T, what string, low int, high *int, ends bool) {
	want, got := fmt.Sprint(s.high), "no end"
	if !ends {
		want = "no end"
	}
	if high != nil {
		got = fmt.Sprint(*high)
	}
	if low != s.low || got != want {
		t.Errorf("%s: %d to %s, by enumeration %d to %s", what, low, got, s.low, want)
	}
}

// spans go through every way in which fruit can have stood: of each stage, and at or beyond it.
func (r *countedRow) spans(scale *crop.Scale) (standing, beyond [3]span) {
	for i := range (mostOfStage + 1) * (mostOfStage + 1) * (mostOfStage + 1) {
		stood := [3]int{i % (mostOfStage + 1), i / (mostOfStage + 1) % (mostOfStage + 1), i / (mostOfStage + 1) / (mostOfStage + 1)}
		if !r.allows(stood, scale) {
			continue
		}
		sum := 0
		for s := 2; s >= 0; s-- {
			sum += stood[s]
			standing[s].add(stood[s])
			beyond[s].add(sum)
		}
	}
	return standing, beyond
}

// TestBoundsByEnumeration holds the bounds of one count, of the whole plant or truss by truss, with pickings of the plant and of its
// unit before it, to every way in which fruit can have stood and gone.
func TestBoundsByEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := crop.Scale{Name: "short", RipeStage: "red", Stages: []crop.Stage{{Name: "green"}, {Name: "turning"}, {Name: "red"}}}
		r := crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{1}}, Cultivar: &crop.Cultivar{}, Scale: &scale}
		at := crop.InstantMoment(beginning.AddDate(0, 0, 1))
		trusses := rapid.IntRange(0, 2).Draw(t, "trusses")
		var rows []countedRow
		var standing, beyond, gone [3]span
		for i := range max(1, trusses) {
			row := drawRow(t, &scale)
			rows = append(rows, row)
			v := crop.Visit{ID: crop.ID{2, byte(i)}, PlantID: r.Plant.ID, CountedAt: at, Counts: row.counts, Total: row.total, AtLeast: row.atLeast}
			if trusses > 0 {
				v.Truss, v.TrussesTotal = new(i+1), &trusses
			}
			r.Visits = append(r.Visits, v)
			stands, stoodBeyond := row.spans(&scale)
			for s := range scale.Stages {
				standing[s], beyond[s] = standing[s].plus(stands[s]), beyond[s].plus(stoodBeyond[s])
			}
		}
		own, unit := [3]int{}, [3]int{}
		for s, stage := range scale.Stages {
			before := crop.InstantMoment(beginning)
			if n := rapid.IntRange(0, 2).Draw(t, "picked"); n > 0 {
				own[s] = n
				r.Pickings = append(r.Pickings, crop.Picking{ID: crop.ID{3, byte(s)}, PlantID: &r.Plant.ID, PickedAt: before, Stage: stage.Name, Fruits: &n})
			}
			if n := rapid.IntRange(0, 2).Draw(t, "picked from the unit"); n > 0 {
				unit[s] = n
				r.UnitPickings = append(r.UnitPickings, crop.Picking{ID: crop.ID{4, byte(s)}, PickedAt: before, Stage: stage.Name, Fruits: &n})
			}
		}
		for part := range (unit[0] + 1) * (unit[1] + 1) * (unit[2] + 1) { // every share of the unit's fruit
			of := [3]int{part % (unit[0] + 1), part / (unit[0] + 1) % (unit[1] + 1), part / (unit[0] + 1) / (unit[1] + 1)}
			sum := 0
			for s := 2; s >= 0; s-- {
				sum += own[s] + of[s]
				gone[s].add(sum)
			}
		}
		book := ledger.Of(r)
		e := &book.Visits[0]
		for s := range scale.Stages {
			what := fmt.Sprintf("%+v, %v of the unit, stage %d: ", rows, unit, s)
			standing[s].hold(t, what+"standing", e.StandingAtLeast[s], e.StandingAtMost[s], standing[s].high < mostOfStage)
			beyond[s].hold(t, what+"at or beyond", e.AtOrBeyondAtLeast[s], e.AtOrBeyondAtMost[s], beyond[s].high < mostOfStage)
			reached := beyond[s].plus(gone[s])
			reached.hold(t, what+"ever reached", e.EverReachedAtLeast[s], e.EverReachedAtMost[s], beyond[s].high < mostOfStage)
		}
	})
}
