package demotrial

import (
	"math"
	"strconv"
	"testing"
	"time"
)

// TestFruitPerPlantAndMass checks the numbers against published ones: 26 to 71
// fruit on a dwarf plant at the end and 118 to 532 g (Maree et al. 2025, dwarf
// tomato time series, doi 10.4121/fa102772-32db-4b30-bace-12f2016722ce, plants of
// the reference compartment); 5 to 12 g a fruit is common practice.
func TestFruitPerPlantAndMass(t *testing.T) {
	for _, p := range simulated.Truth {
		if p.Set == 0 {
			continue
		}
		if p.Set < 26 || p.Set > 71 {
			t.Errorf("%s %s: %d fruit set; want 26 to 71", p.Season, p.Plant, p.Set)
		}
		if g := p.PickedMassG / float64(p.Picked); g < 5 || g > 12 {
			t.Errorf("%s %s: %.1f g a fruit; want 5 to 12", p.Season, p.Plant, g)
		}
		if p.PickedMassG < 118 || p.PickedMassG > 532 {
			t.Errorf("%s %s: %.0f g picked; want 118 to 532", p.Season, p.Plant, p.PickedMassG)
		}
		if share := float64(p.PickedUnripe) / float64(p.Picked); share > 0.15 {
			t.Errorf("%s %s: %.0f %% picked before it was ripe", p.Season, p.Plant, 100*share)
		}
	}
}

// TestDaysFromFlowerToRipe: 42 to 65 days at 26 to 18 °C, up to 95 at 14 °C
// (Adams, Cockshull and Cave 2001, Annals of Botany 88, 869–877). The records
// bracket it by visits, so a few days are allowed either side; the kitchen
// stands at 22 to 24 °C, the balcony in winter at 14 to 18.
func TestDaysFromFlowerToRipe(t *testing.T) {
	flower := map[string]time.Time{}
	for _, r := range read(t, diary) {
		if r.cells["kind"] == "first flower" {
			flower[r.plantKey()] = day(r.cells["noted_at"])
		}
	}
	groups := allEvents(t)
	for _, p := range read(t, plantsFile) {
		key, ripeStage := p.plantKey(), scaleOf(p)[ripe]
		for _, e := range events(t, groups, key) {
			if e.file != counts || e.cells[ripeStage] == "" || e.cells[ripeStage] == "0" {
				continue
			}
			days := e.at.Sub(flower[key]).Hours() / 24
			low, high := 38.0, 56.0
			if p.cells["season"] == winter && p.cells["place"] == balcony {
				low, high = 56, 95
			}
			if days < low || days > high {
				t.Errorf("%s: %.0f days from first flower to first ripe fruit; want %.0f to %.0f", name(p), days, low, high)
			}
			break
		}
	}
}

// TestSolution: 5.5 to 6.5 pH, 1 to 3.5 dS/m, 18 to 25 °C (common practice for
// small hydroponic units).
func TestSolution(t *testing.T) {
	measured := 0
	for _, r := range read(t, diary) {
		if r.cells["kind"] != "solution measured" {
			continue
		}
		measured++
		for column, limits := range map[string][2]float64{"ec_ds_m": {0.8, 3.5}, "ph": {5.5, 6.5}, "solution_c": {18, 25}} {
			x, err := strconv.ParseFloat(r.cells[column], 64)
			if err != nil || x < limits[0] || x > limits[1] {
				t.Errorf("diary.csv:%d: %s = %q; want %g to %g", r.line, column, r.cells[column], limits[0], limits[1])
			}
		}
	}
	if measured < 20 {
		t.Errorf("%d measurements of the solution, want 20 or more", measured)
	}
}

// TestRates: the curves give back the published days they are made of.
func TestRates(t *testing.T) {
	cases := []struct {
		name  string
		curve []point
		airC  float64
		days  float64 // at that temperature
		at20  float64 // at 20 °C
	}{
		{"flower to ripe at 14 °C", growingRate, 14, 95, 53.9},
		{"flower to ripe at 18 °C", growingRate, 18, 65, 53.9},
		{"flower to ripe at 22 °C", growingRate, 22, 46, 53.9},
		{"flower to ripe at 26 °C", growingRate, 26, 42, 53.9},
		{"breaker to red at 12.5 °C", colouringRate, 12.5, 16, 8},
		{"breaker to red at 20 °C", colouringRate, 20, 8, 8},
		{"breaker to red at 25 °C", colouringRate, 25, 5, 8},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if got := c.at20 / rateAt(c.curve, c.airC); math.Abs(got-c.days) > 1e-9 {
				t.Errorf("%.3f days, want %g", got, c.days)
			}
		})
	}
	// The rate at 20 °C is 1 by definition; on the straight line between 18 and
	// 22 °C it is (53.9/65 + 53.9/46) / 2 = 1.0005.
	if got := rateAt(growingRate, 20); math.Abs(got-1) > 0.001 {
		t.Errorf("growing rate at 20 °C is %.4f, want 1", got)
	}
}

// TestDice: mean and spread of the deviates, within four standard errors of
// what the distributions have.
func TestDice(t *testing.T) {
	const n = 40000
	moments := func(draw func(*dice) float64) (mean, sd float64) {
		d := newDice("test of the dice")
		var sum, squares float64
		for range n {
			x := draw(d)
			sum += x
			squares += x * x
		}
		mean = sum / n
		return mean, math.Sqrt(squares/n - mean*mean)
	}
	cases := []struct {
		name     string
		draw     func(*dice) float64
		mean, sd float64
	}{
		{"uniform", (*dice).uniform, 0.5, math.Sqrt(1.0 / 12)},
		{"normal", (*dice).normal, 0, 1},
		{"gamma", func(d *dice) float64 { return d.gamma(42, 0.35) }, 42, 14.7},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			mean, sd := moments(c.draw)
			if limit := 4 * c.sd / math.Sqrt(n); math.Abs(mean-c.mean) > limit {
				t.Errorf("mean %.4f, want %.4f ± %.4f", mean, c.mean, limit)
			}
			if limit := 4 * c.sd * 1.2 / math.Sqrt(2*n); math.Abs(sd-c.sd) > limit {
				t.Errorf("standard deviation %.4f, want %.4f ± %.4f", sd, c.sd, limit)
			}
		})
	}
}
