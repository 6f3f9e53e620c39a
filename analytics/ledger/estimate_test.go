package ledger_test

import (
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"strings"
	"testing"

	"vinetally/analytics/ledger"
	"vinetally/analytics/ledger/ledgertest"
)

func bookOf(t *testing.T, script string) ledger.Book {
	t.Helper()
	s, err := ledgertest.Parse(script)
	if err != nil {
		t.Fatal(err)
	}
	return ledger.Of(s.Records)
}

// TestExpansion: of eight trusses four were counted, with 3, 5, 4 and 8 green fruit. N·ȳ = 40; s² = 14/3, se = 8·√((1 − 4/8)·(14/3)/4) = 6.1101;
// t of 3 degrees of freedom at 95 % is 2.35336 (tables of Student's t).
func TestExpansion(t *testing.T) {
	b := bookOf(t, `
		count 2026-05-01 truss=1 trusses=/8 green=3 red=0
		count 2026-05-01 truss=3 trusses=/8 green=5 red=1
		count 2026-05-01 truss=5 trusses=/8 green=4 red=0
		count 2026-05-01 truss=7 trusses=/8 green=8
	`)
	all := b.Visits[0].Estimate
	if len(all) == 0 || all[0] == nil {
		t.Fatal("no estimate of green fruit")
	}
	e := all[0]
	if e.Value != 40 || e.Counted != 4 || e.Of != 8 || e.Seen != 20 || math.Abs(*e.StandardError-6.1101) > 1e-4 {
		t.Errorf("got %+v, standard error %v", e, *e.StandardError)
	}
	if want := 40 + 2.35336*6.1101; math.Abs(*e.High-want) > 1e-3 || math.Abs(*e.Low-(80-want)) > 1e-3 {
		t.Errorf("between %v and %v, want %v and %v", *e.Low, *e.High, 80-want, want)
	}
	if all[3] != nil {
		t.Errorf("red fruit, which one truss doesn't tell: %+v", all[3])
	}
	if b.Visits[0].Standing[0] != nil || !strings.Contains(strings.Join(b.Warnings, " "), "drawn at random") {
		t.Errorf("the ledger takes an estimate for a count: %+v, %q", b.Visits[0], b.Warnings)
	}
}

func TestWhatExpandsToNothing(t *testing.T) {
	for name, script := range map[string]string{
		"whole plant":             "count 2026-05-01 green=3",
		"all trusses":             "count 2026-05-01 truss=1 trusses=/2 green=3\ncount 2026-05-01 truss=2 trusses=/2 green=4",
		"how many there are":      "count 2026-05-01 truss=1 green=3\ncount 2026-05-01 truss=2 green=4",
		"given up":                "count 2026-05-01 trusses=2/5 green=3 at_least",
		"a glance":                "count 2026-05-01 trusses=2/5 green=3 about",
		"none of them":            "count 2026-05-01 trusses=0/5 green=0",
		"one truss counted twice": "count 2026-05-01 truss=1 trusses=/3 green=3\ncount 2026-05-01 truss=1 trusses=/3 green=4",
	} {
		if e := bookOf(t, script).Visits[0].Estimate; e != nil {
			t.Errorf("%s: %+v", name, e[0])
		}
	}
	sum := bookOf(t, "count 2026-05-01 trusses=2/5 green=4").Visits[0].Estimate
	if sum == nil || sum[0] == nil || sum[0].Value != 10 || sum[0].Low != nil {
		t.Errorf("two of five trusses together: %+v, want 10 without an interval", sum)
	}
	one := bookOf(t, "count 2026-05-01 truss=2 trusses=/5 green=4").Visits[0].Estimate
	if one == nil || one[0] == nil || one[0].Value != 20 || one[0].High != nil {
		t.Errorf("one truss of five: %+v, want 20 without an interval", one)
	}
	seen := bookOf(t, "count 2026-05-01 truss=1 trusses=/4 green=1\ncount 2026-05-01 truss=3 trusses=/4 green=9").Visits[0].Estimate
	if seen == nil || *seen[0].Low != 10 {
		t.Errorf("the interval begins at %v, want what was seen, 10", *seen[0].Low)
	}
}

// TestEstimateWithoutInterval: trusses in a row from an end of the plant are what could be reached, and trusses that are all alike don't
// say how much the others may differ.
func TestEstimateWithoutInterval(t *testing.T) {
	for name, c := range map[string]struct {
		script string
		value  float64
	}{
		"lowest in a row":  {"count 2026-05-01 truss=1 trusses=/6 green=2\ncount 2026-05-01 truss=2 trusses=/6 green=4", 18},
		"highest in a row": {"count 2026-05-01 truss=5 trusses=/6 green=2\ncount 2026-05-01 truss=6 trusses=/6 green=4", 18},
		"all on one truss": {"count 2026-05-01 truss=2 trusses=/6 green=0\ncount 2026-05-01 truss=5 trusses=/6 green=9", 27},
		"all alike":        {"count 2026-05-01 truss=2 trusses=/6 green=0\ncount 2026-05-01 truss=5 trusses=/6 green=0", 0},
	} {
		b := bookOf(t, c.script)
		e := b.Visits[0].Estimate[0]
		if e == nil || e.Value != c.value || e.Low != nil || e.High != nil || e.StandardError != nil {
			t.Errorf("%s: %+v, want %v without an interval", name, e, c.value)
		}
		if words := strings.Join(b.Warnings, " "); !strings.Contains(words, "no interval for it") {
			t.Errorf("%s: %q", name, words)
		}
	}
	inside := bookOf(t, "count 2026-05-01 truss=2 trusses=/6 green=2\ncount 2026-05-01 truss=5 trusses=/6 green=4").Visits[0].Estimate[0]
	if inside == nil || inside.Low == nil {
		t.Errorf("every third truss: %+v, want an interval", inside)
	}
}

// TestExpansionCovers draws four of twelve trusses at random from plants whose trusses bear unlike numbers (2 to 14, fewer at the
// top), and asks how often the interval holds the plant's number: 90 % nominally.
func TestExpansionCovers(t *testing.T) {
	const plants, trusses, drawn = 2000, 12, 4
	rng := rand.New(rand.NewPCG(5, 9))
	held, given := 0, 0
	for range plants {
		bears, total := make([]int, trusses), 0
		for i := range bears {
			bears[i] = 2 + rng.IntN(13-i/2)
			total += bears[i]
		}
		var script strings.Builder
		for _, i := range rng.Perm(trusses)[:drawn] {
			fmt.Fprintf(&script, "count 2026-05-01 truss=%d trusses=/%d green=%d\n", i+1, trusses, bears[i])
		}
		e := bookOf(t, script.String()).Visits[0].Estimate[0]
		if e == nil || e.Low == nil {
			continue
		}
		given++
		if *e.Low <= float64(total) && float64(total) <= *e.High {
			held++
		}
	}
	share := float64(held) / float64(given)
	t.Logf("%.1f %% of %d intervals hold the number", 100*share, given)
	if given < plants*95/100 || share < 0.86 || share > 0.94 {
		t.Errorf("%d of %d intervals hold the number, want about 90 %%", held, given)
	}
}

// TestExpansionHolds goes through every sample of three trusses or more of plants whose trusses ripen from the lowest on: where an interval at
// 90 % is given, it holds the true number in so many of the samples. Were fruit on a single truss
// enough, it would be 78 % of those of three trusses with the lowest ripe.
func TestExpansionHolds(t *testing.T) {
	for name, red := range map[string][]int{
		"the lowest ripe":        {9, 6, 1, 0, 0, 0, 0, 0},
		"two ripe":               {8, 8, 0, 0, 0, 0, 0, 0},
		"half of them":           {8, 7, 5, 2, 0, 0, 0, 0},
		"in the middle":          {0, 1, 4, 5, 2, 0, 0, 0},
		"twelve, the lower five": {9, 8, 6, 3, 1, 0, 0, 0, 0, 0, 0, 0},
		"on all of them":         {9, 8, 10, 7, 9, 8, 6, 5},
	} {
		truth := 0
		for _, n := range red {
			truth += n
		}
		for counted := 3; counted <= 6; counted++ {
			given, held := 0, 0
			for chosen := range 1 << len(red) {
				if bits.OnesCount(uint(chosen)) != counted {
					continue
				}
				var script strings.Builder
				for i, n := range red {
					if chosen>>i&1 == 1 {
						fmt.Fprintf(&script, "count 2026-05-01 truss=%d trusses=/%d red=%d\n", i+1, len(red), n)
					}
				}
				e := bookOf(t, script.String()).Visits[0].Estimate[3]
				if e.Low == nil {
					continue
				}
				given++
				if *e.Low <= float64(truth) && float64(truth) <= *e.High {
					held++
				}
			}
			if held < given*87/100 {
				t.Errorf("%s, %d counted: holds %d in %d of %d samples", name, counted, truth, held, given)
			}
		}
	}
}
