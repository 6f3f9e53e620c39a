package report_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
)

// anySeason makes a season of whatever people write down: counts of some stages, given up or at a glance, totals alone,
// pickings weighed and not counted or taken from the whole sill, losses of every cause, and nothing that need agree.
func anySeason(rng *rand.Rand) *crop.Trial {
	labels := make([]string, rng.IntN(6))
	for i := range labels {
		labels[i] = fmt.Sprintf("A%d", i+1)
	}
	t := bed(labels...)
	if len(labels) == 0 {
		return t
	}
	for range rng.IntN(60) {
		plant, day := rng.IntN(len(labels)), 1+rng.IntN(40)
		switch rng.IntN(6) {
		case 0, 1, 2:
			v := counted(t, plant, day, rng.IntN(20)-2, rng.IntN(8)-2, rng.IntN(8)-2, rng.IntN(8)-2)
			v.AtLeast, v.About = rng.IntN(8) == 0, rng.IntN(9) == 0
			if len(v.Counts) == 0 {
				v.Total = new(rng.IntN(40))
			}
			if rng.IntN(6) == 0 {
				v.TrussesCounted, v.TrussesTotal = new(2), new(3)
			}
		case 3, 4:
			p := picked(t, plant, day, rng.IntN(6), float64(1+rng.IntN(60)))
			p.Stage = crop.DefaultScale().Stages[rng.IntN(4)].Name
			if rng.IntN(4) == 0 {
				fromUnit(p)
			}
			if rng.IntN(5) == 0 {
				p.Grade, p.Weighing = crop.Cull, "one bowl"
			}
		default:
			causes := crop.Causes()
			lost(t, plant, day, rng.IntN(4), crop.DefaultScale().Stages[rng.IntN(4)].Name, causes[rng.IntN(len(causes))])
		}
	}
	return t
}

// TestAnySeason checks of many made-up seasons that fruit is conserved plant by plant, that the season's sums are those of
// its plants and of what came from no plant in particular, that words and pages can be made of it, and that the same
// records give the same bytes.
func TestAnySeason(t *testing.T) {
	for seed := range uint64(150) {
		again := func() *crop.Trial {
			trial := anySeason(rand.New(rand.NewPCG(seed, 1)))
			trial.Arrange()
			return trial
		}
		trial := again()
		o := report.Options{NoForecast: seed%5 != 0}
		r := report.Of(trial, o)
		asJSON(t, r) // no NaN, no infinity
		wantClosed(t, fmt.Sprintf("seed %d", seed), r)
		picked, certain, standing := r.Yield.Unattributed.Fruits, 0, 0
		for _, p := range r.Plants {
			b := p.Book.Totals
			if out := b.StandingAtLeast + b.Picked + b.Lost - b.TakenInDoubt; out > b.SetAtLeast {
				t.Errorf("seed %d, %s: standing, picked and lost are %d, more than the %d set", seed, p.Book.Plant, out, b.SetAtLeast)
			}
			if b.Standing != nil && *b.Standing < b.StandingAtLeast {
				t.Errorf("seed %d, %s: %d stand, fewer than the %d at least", seed, p.Book.Plant, *b.Standing, b.StandingAtLeast)
			}
			if p.PastRipe.StandingRipe != nil && p.PastRipe.Certain > *p.PastRipe.StandingRipe {
				t.Errorf("seed %d, %s: %d past ripe of %d ripe", seed, p.Book.Plant, p.PastRipe.Certain, *p.PastRipe.StandingRipe)
			}
			picked, certain, standing = picked+p.Tally.Fruits, certain+p.PastRipe.Certain, standing+b.StandingAtLeast
		}
		if n := r.Totals.StandingAtMost; n != nil && *n < r.Totals.StandingAtLeast {
			t.Errorf("seed %d: between %d and %d stand", seed, r.Totals.StandingAtLeast, *n)
		}
		// What a unit lost is taken off every plant's bound, and once off the season's.
		if picked != r.Yield.Fruits || certain != r.PastRipe.Certain || standing > r.Totals.StandingAtLeast {
			t.Errorf("seed %d: over plants %d picked, %d past ripe, %d standing; the season has %d, %d, %d", seed, picked, certain, standing,
				r.Yield.Fruits, r.PastRipe.Certain, r.Totals.StandingAtLeast)
		}
		lost := 0
		for _, l := range trial.Losses {
			lost += *l.Fruits
		}
		if got := r.Totals.Lost + r.Totals.Cleared; got != lost {
			t.Errorf("seed %d: the season has %d lost and cleared, the records %d", seed, got, lost)
		}
		cultivars := 0
		for _, g := range r.Yield.Cultivars {
			cultivars += g.Fruits
		}
		if len(r.Plants) > 0 && cultivars != r.Yield.Fruits {
			t.Errorf("seed %d: cultivars have %d picked, the season %d", seed, cultivars, r.Yield.Fruits)
		}
		page := charts.SeasonPage(r, charts.ReportLinks{})
		if err := charts.Check(page); err != nil {
			t.Errorf("seed %d: season page: %v", seed, err)
		}
		for _, p := range r.Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, o)
			if err != nil {
				t.Fatal(err)
			}
			if err := charts.Check(charts.PlantPage(one, charts.ReportLinks{})); err != nil {
				t.Errorf("seed %d, %s: plant page: %v", seed, p.Book.Plant, err)
			}
		}
		if seed%25 != 0 {
			continue
		}
		var first, second bytes.Buffer
		if err := charts.WriteFile(&first, page); err != nil {
			t.Fatal(err)
		}
		if err := charts.WriteFile(&second, charts.SeasonPage(report.Of(again(), o), charts.ReportLinks{})); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(first.Bytes(), second.Bytes()) {
			t.Errorf("seed %d: the same records give two pages", seed)
		}
	}
}
