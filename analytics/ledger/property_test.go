package ledger_test

import (
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// everyHabit lists the habits that leave perfect or at least true records.
var everyHabit = map[string]habits{
	"whole counts, complete records":   {},
	"whole counts, fruit vanishes":     {vanishing: true},
	"some stages or totals":            {partial: true},
	"some stages, fruit vanishes":      {partial: true, vanishing: true},
	"lower bounds":                     {lowerBounds: true},
	"lower bounds of some stages":      {lowerBounds: true, partial: true, vanishing: true},
	"unknown numbers":                  {unsure: true},
	"unknown numbers, fruit vanishes":  {unsure: true, vanishing: true, partial: true},
	"everything that may go uncounted": {unsure: true, vanishing: true, partial: true, lowerBounds: true},
}

// TestTruth compares the ledger with the life of every fruit that it was recorded from.
func TestTruth(t *testing.T) {
	for name, h := range everyHabit {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				life := drawHistory(t, h)
				book := ledger.Of(life.records)
				checkInvariants(t, &book)
				missing := make([]int, len(book.Scale))
				for i := range book.Visits {
					compare(t, &book.Visits[i], &life.truth[i], missing, h)
				}
				compareTotals(t, life, &book)
				if !life.vanished && len(book.Contradictions) > 0 {
					t.Errorf("true records contradict each other: %+v", book.Contradictions)
				}
			})
		})
	}
}

func compare(t *rapid.T, e *ledger.Entry, now *truth, missing []int, h habits) {
	for s := range now.reached {
		accounted := now.reached[s] - now.vanished[s]
		if x := e.EverReached[s]; x != nil && *x != accounted {
			t.Errorf("%s stage %d: ever reached %d, in truth %d less %d that vanished", e.CountedAt, s, *x, now.reached[s], now.vanished[s])
		}
		if e.EverReached[s] == nil && !h.partial && !h.lowerBounds && !h.unsure {
			t.Errorf("%s stage %d: ever reached is unknown though all was counted", e.CountedAt, s)
		}
		if e.EverReachedAtLeast[s] > now.reached[s] {
			t.Errorf("%s stage %d: at least %d, in truth %d", e.CountedAt, s, e.EverReachedAtLeast[s], now.reached[s])
		}
		if most := e.EverReachedAtMost[s]; most != nil && *most < accounted {
			t.Errorf("%s stage %d: at most %d, in truth %d less %d that vanished", e.CountedAt, s, *most, now.reached[s], now.vanished[s])
		}
		missing[s] += e.Unaccounted[s]
		if missing[s] > now.vanished[s] {
			t.Errorf("%s stage %d: %d written off so far, but only %d vanished", e.CountedAt, s, missing[s], now.vanished[s])
		}
	}
}

func compareTotals(t *rapid.T, life *history, book *ledger.Book) {
	total := &book.Totals
	if total.SetAtLeast > len(life.fruit) {
		t.Errorf("set at least %d, in truth %d", total.SetAtLeast, len(life.fruit))
	}
	if life.lastGone <= life.lastSeen && total.Standing != nil {
		if want := life.standing(); *total.Standing > want {
			t.Errorf("standing %d, in truth %d", *total.Standing, want)
		}
	}
	if !life.vanished && total.StandingAtLeast > life.standing() {
		t.Errorf("standing at least %d, in truth %d", total.StandingAtLeast, life.standing())
	}
	picked := 0
	for i := range life.records.Pickings {
		if n := life.records.Pickings[i].Fruits; n != nil {
			picked += *n
		}
	}
	for i := range book.Visits {
		for s := range book.Scale {
			picked -= book.Visits[i].Picked[s]
		}
	}
	for _, n := range book.SinceLastCount.Picked {
		picked -= n
	}
	if picked != 0 {
		t.Errorf("%d picked fruit are in no interval", picked)
	}
}

// TestOrderOfRecords: the book doesn't depend on the order in which the records are handed in.
func TestOrderOfRecords(t *testing.T) {
	for name, h := range everyHabit {
		t.Run(name, func(t *testing.T) {
			rapid.Check(t, func(t *rapid.T) {
				life := drawHistory(t, h)
				want := ledger.Of(life.records)
				other := life.records
				other.Visits = rapid.Permutation(slices.Clone(other.Visits)).Draw(t, "visits")
				other.Pickings = rapid.Permutation(slices.Clone(other.Pickings)).Draw(t, "pickings")
				other.Losses = rapid.Permutation(slices.Clone(other.Losses)).Draw(t, "losses")
				other.UnitPickings = rapid.Permutation(slices.Clone(other.UnitPickings)).Draw(t, "unit pickings")
				if got := ledger.Of(other); !reflect.DeepEqual(got, want) {
					t.Errorf("got %+v\nwant %+v", got, want)
				}
			})
		})
	}
}

// TestUnaccountedOfWholeCounts checks the general rule against the plain one that it must reduce to where every count is
// of the whole plant: the largest fall since the count before, over the stages at or beyond.
func TestUnaccountedOfWholeCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := ledger.Of(drawHistory(t, habits{vanishing: true}).records)
		for i := 1; i < len(book.Visits); i++ {
			before, now := &book.Visits[i-1], &book.Visits[i]
			want := 0
			for s := len(book.Scale) - 1; s >= 0; s-- {
				want = max(want, *before.EverReached[s]-*now.EverReached[s])
				if got := now.Unaccounted[s]; got != want {
					t.Errorf("visit %d stage %d: unaccounted %d, want %d", i, s, got, want)
				}
			}
		}
	})
}

// TestMiscounts repeats the trial behind the choice of the season's shortfall: sixty standing fruit, each seen with
// probability 0.97 at each of 25 visits, nothing lost. Adding up falls makes about 17 of them vanish (a simulation of the
// design review gave "about 17"); the net shortfall stays at what two counts differ by. The expected sum is
// 24·E[(X−Y)⁺] = 24·σ/√π with σ² = 60·0.97·0.03 the variance of one count: 17.9, less the discreteness of counts.
func TestMiscounts(t *testing.T) {
	const trials, visits, stood = 400, 25, 60
	dice := rand.New(rand.NewPCG(1, 2))
	scale := crop.DefaultScale()
	sum, net, beyond, flagged := 0, 0, 0, 0
	for range trials {
		r := crop.PlantRecords{Plant: &crop.Plant{}, Scale: &scale}
		for i := range visits {
			n := 0
			for range stood {
				if dice.Float64() < 0.97 {
					n++
				}
			}
			r.Visits = append(r.Visits, crop.Visit{ID: crop.ID{byte(i)}, CountedAt: crop.InstantMoment(beginning.AddDate(0, 0, i)),
				Counts: map[string]int{"green": n, "breaker": 0, "turning": 0, "red": 0}})
		}
		book := ledger.Of(r)
		for i := range book.Visits {
			sum += book.Visits[i].Unaccounted[0]
		}
		net += book.Totals.Unaccounted
		for _, c := range book.Contradictions {
			flagged++
			if !c.WithinAllowance {
				beyond++
			}
		}
	}
	perSeason := float64(sum) / trials
	if perSeason < 16 || perSeason > 19 {
		t.Errorf("falls add up to %.2f a season, want about 17", perSeason)
	}
	if n := float64(net) / trials; n > 4 {
		t.Errorf("the season's shortfall is %.2f on average, want at most what two counts differ by, 4", n)
	}
	if share := float64(beyond) / float64(trials*(visits-1)); share > 0.015 {
		t.Errorf("%.3f of the pairs of counts are beyond the allowance, want at most 0.015 (two and a half standard deviations on one side are 0.006, and as many for falls that last)", share)
	}
	t.Logf("falls add up to %.2f a season; net %.2f; of %d falls %d beyond the allowance", perSeason, float64(net)/trials, flagged, beyond)
}

// TestAllowance checks the rule by hand.
func TestAllowance(t *testing.T) {
	for _, c := range []struct {
		name              string
		before, now, want int
	}{
		{"nothing stood", 0, 0, 0},
		{"one fruit", 1, 1, 1},        // 2.5·√(2·0.0291) = 0.60
		{"ten fruit", 10, 10, 2},      // 2.5·√(20·0.0291) = 1.91
		{"sixty fruit", 60, 60, 5},    // 2.5·√(120·0.0291) = 4.67
		{"some were taken", 60, 9, 4}, // 2.5·√(69·0.0291) = 3.54
	} {
		if got := ledger.Allowance(c.before, c.now); got != c.want {
			t.Errorf("%s: Allowance(%d, %d) = %d, want %d", c.name, c.before, c.now, got, c.want)
		}
	}
}

// TestDoesNotTouchItsInput: the caller's lists keep their order.
func TestDoesNotTouchItsInput(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := drawHistory(t, habits{unsure: true, partial: true}).records
		slices.Reverse(r.Visits)
		slices.Reverse(r.Pickings)
		visits, pickings := slices.Clone(r.Visits), slices.Clone(r.Pickings)
		ledger.Of(r)
		if !reflect.DeepEqual(r.Visits, visits) || !reflect.DeepEqual(r.Pickings, pickings) {
			t.Errorf("the records were put into another order")
		}
	})
}

// TestNoScale: a plant whose scale is gone gets a sentence, not a panic.
func TestNoScale(t *testing.T) {
	book := ledger.Of(crop.PlantRecords{Plant: &crop.Plant{Label: "A1"}})
	if len(book.Warnings) != 1 || len(book.Visits) != 0 || book.Plant != "A1" || book.Ripe != -1 {
		t.Errorf("got %+v, want an empty book with one warning", book)
	}
}
