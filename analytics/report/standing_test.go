package report_test

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// wantStandingOfLedger checks that the standing fruit day by day is the ledger's: at each count after which nothing else
// happened that day what the count found, and at the end the total.
func wantStandingOfLedger(t *testing.T, what string, r *report.OnePlant) (checked int) {
	t.Helper()
	b := &r.Plant.Book
	if len(b.Visits) == 0 {
		return 0
	}
	days := r.Standing[0].Days
	on := map[crop.Date]report.StandingDay{}
	for _, d := range days {
		on[d.On] = d
	}
	for i := range b.Visits {
		e := &b.Visits[i]
		day := e.CountedAt.LocalDate()
		if removed := r.Plant.Records.Plant.RemovedOn; b.Removed && !removed.After(day) || overtaken(b, i) {
			continue
		}
		for s, want := range e.Standing {
			checked++
			if got := on[day].ByStage[s]; (got == nil) != (want == nil) || got != nil && *got != *want {
				t.Errorf("%s, count of %s: %s stands at %s, the count found %s", what, day, number(got), b.Scale[s], number(want))
			}
		}
	}
	sum := 0
	for _, n := range days[len(days)-1].ByStage {
		if n == nil {
			return checked
		}
		sum += *n
	}
	if total := b.Totals.Standing; total != nil && *total != sum {
		t.Errorf("%s: %d stand on the last day, the ledger's total is %d", what, sum, *total)
	}
	return checked
}

// overtaken tells whether another count or a removal of the plant came later on the day of a count.
func overtaken(b *ledger.Book, visit int) bool {
	day := b.Visits[visit].CountedAt.LocalDate()
	if visit+1 < len(b.Visits) && b.Visits[visit+1].CountedAt.LocalDate() == day {
		return true
	}
	for _, r := range b.Removals {
		if r.Interval == visit+1 && r.At.LocalDate() == day {
			return true
		}
	}
	return false
}

func number(n *int) string {
	if n == nil {
		return "an unknown number"
	}
	return strconv.Itoa(*n)
}

// TestStandingIsTheLedgers holds the standing fruit of random seasons and of the demo trial to the ledgers.
func TestStandingIsTheLedgers(t *testing.T) {
	checked := 0
	each := func(what string, trial *crop.Trial) {
		for _, p := range report.Of(trial, report.Options{NoForecast: true}).Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, report.Options{NoForecast: true})
			if err != nil {
				t.Fatal(err)
			}
			checked += wantStandingOfLedger(t, what+", "+p.Book.Plant, one)
		}
	}
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 2))
		trial := anySeason(rng)
		for i := range trial.Plants {
			if rng.IntN(4) == 0 {
				trial.Plants[i].RemovedOn = &crop.Date{Year: 2026, Month: time.May, Day: 1 + rng.IntN(31)}
			}
		}
		trial.Arrange()
		each("seed "+strconv.Itoa(int(seed)), trial)
	}
	for name, trial := range demoseasons.Load(t) {
		each(name, trial)
	}
	if checked < 5000 {
		t.Errorf("only %d numbers were compared", checked)
	}
}

// TestStandingDays works out the days of small beds by hand: green, breaker, turning, red, then picked.
func TestStandingDays(t *testing.T) {
	for name, c := range map[string]struct {
		fill func() *crop.Trial
		want string
	}{
		"more red picked than stood, days later: the others were turning": {func() *crop.Trial {
			t := bed("A1")
			counted(t, 0, 1, 10, 0, 4, 3)
			picked(t, 0, 3, 5, 0)
			return t
		}, "1: 10 0 4 3, 0; 3: 10 0 2 0, 5"},
		"of the sill, which may be from either plant": {func() *crop.Trial {
			t := bed("A1", "A2")
			counted(t, 0, 1, 10, 0, 0, 3)
			counted(t, 1, 1, 5, 0, 0, 3)
			fromUnit(picked(t, 0, 3, 2, 0))
			counted(t, 0, 4, 10, 0, 0, 2)
			counted(t, 1, 5, 5, 0, 0, 2)
			return t
		}, "1: 15 0 0 6, 0; 3: 15 0 0 ≥2, 2; 4: 15 0 0 ≥3, 0; 5: 15 0 0 4, 0"},
		"given up at so many; more red picked than that: the others may have been turning": {func() *crop.Trial {
			t := bed("A1", "A2")
			counted(t, 0, 1, 10, 2, 4, 3).AtLeast = true
			counted(t, 1, 1, 1, 0, 0, 1)
			picked(t, 0, 3, 5, 0)
			return t
		}, "1: ≥11 ≥2 ≥4 ≥4, 0; 3: ≥11 ≥2 ≥2 ≥1, 5"},
		"taken after the plant was removed": {func() *crop.Trial {
			t := bed("A1")
			t.Plants[0].RemovedOn = &crop.Date{Year: 2026, Month: time.May, Day: 4}
			counted(t, 0, 1, 10, 0, 0, 3)
			picked(t, 0, 6, 2, 0)
			return t
		}, "1: 10 0 0 3, 0; 4: 0 0 0 0, 0; 6: 0 0 0 0, 2"},
	} {
		trial := c.fill()
		trial.Arrange()
		got := ""
		for i, d := range report.Of(trial, report.Options{NoForecast: true}).Standing[0].Days {
			if i > 0 {
				got += "; "
			}
			got += strconv.Itoa(d.On.Day) + ":"
			for stage, n := range d.ByStage {
				if n == nil {
					got += " ≥" + strconv.Itoa(d.AtLeast[stage])
				} else {
					got += " " + strconv.Itoa(*n)
				}
			}
			got += ", " + strconv.Itoa(d.Picked)
		}
		if got != c.want {
			t.Errorf("%s: got %s, want %s", name, got, c.want)
		}
	}
}

// TestBoundsHold: counts of the demo that are given up at half of what there was, or leave a stage out, leave the days' sums open; their lower bounds
// are never above what the whole counts say, and are the sums where those are known.
func TestBoundsHold(t *testing.T) {
	open := 0
	for name, whole := range demoseasons.Load(t) {
		rng := rand.New(rand.NewPCG(3, 5))
		// Contradicting records have no truth to be held against, so every plant that has some is left out.
		var plants []crop.Plant
		for _, p := range report.Of(whole, report.Options{NoForecast: true}).Plants {
			if len(p.Book.Contradictions) == 0 {
				plants = append(plants, *p.Records.Plant)
			}
		}
		if len(plants) < 3 {
			t.Fatalf("%s: %d plants without contradictions", name, len(plants))
		}
		whole = kept(whole, plants)
		part := kept(whole, plants)
		part.Visits = slices.Clone(whole.Visits)
		for i := range part.Visits {
			v := &part.Visits[i]
			v.Counts = maps.Clone(v.Counts)
			switch rng.IntN(6) {
			case 0:
				v.AtLeast = true
				for stage, n := range v.Counts {
					v.Counts[stage] = n / 2
				}
			case 1:
				delete(v.Counts, "green")
			}
		}
		part.Arrange()
		o := report.Options{NoForecast: true}
		want := report.Of(whole, o).Standing
		for i, s := range report.Of(part, o).Standing {
			for j, d := range s.Days {
				for stage, n := range d.ByStage {
					truth := want[i].Days[j].ByStage[stage]
					switch {
					case n != nil && d.AtLeast[stage] != *n:
						t.Errorf("%s, %s: %d stand and at least %d", name, d.On, *n, d.AtLeast[stage])
					case n != nil || truth == nil:
					case d.AtLeast[stage] > *truth:
						t.Errorf("%s, %s, %s: at least %d stand, and %d do", name, d.On, s.Scale.Stages[stage].Name, d.AtLeast[stage], *truth)
					default:
						open++
					}
				}
			}
		}
	}
	if open < 100 {
		t.Errorf("only %d bounds were compared", open)
	}
}

// kept is a season narrowed to some plants.
func kept(t *crop.Trial, plants []crop.Plant) *crop.Trial {
	of := map[crop.ID]bool{}
	for i := range plants {
		of[plants[i].ID] = true
	}
	out := *t
	out.Plants = slices.Clone(plants)
	out.Visits = slices.DeleteFunc(slices.Clone(t.Visits), func(v crop.Visit) bool { return !of[v.PlantID] })
	out.Pickings = slices.DeleteFunc(slices.Clone(t.Pickings), func(p crop.Picking) bool { return p.PlantID == nil || !of[*p.PlantID] })
	out.Losses = slices.DeleteFunc(slices.Clone(t.Losses), func(l crop.Loss) bool { return l.PlantID == nil || !of[*l.PlantID] })
	out.Arrange()
	return &out
}

// TestNeverCounted: before the first count of any plant nothing is known to stand, neither a number nor none.
func TestNeverCounted(t *testing.T) {
	trial := bed("A1")
	picked(trial, 0, 1, 5, 0)
	counted(trial, 0, 4, 3, 0, 0, 0)
	trial.Arrange()
	days := report.Of(trial, report.Options{}).Standing[0].Days
	for s, n := range days[0].ByStage {
		if n != nil || days[0].BoundShown(s) {
			t.Errorf("before the first count %s fruit stand in stage %d", number(n), s)
		}
		if days[1].ByStage[s] == nil {
			t.Errorf("after the count stage %d isn't known", s)
		}
	}
}
