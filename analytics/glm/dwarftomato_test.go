package glm

import (
	"math"
	"strconv"
	"testing"
	"time"

	"vinetally/testdata/opendata"
)

// TestDwarfTomatoRedShare fits the share of red fruit on days to published counts of dwarf tomatoes, a row for each plant. Source of the counts:
// Maree et al. (2025), 4th Autonomous Greenhouse Challenge: Dwarf Tomato Timeseries and Images, 4TU.ResearchData,
// doi 10.4121/fa102772-32db-4b30-bace-12f2016722ce.v1, CC BY 4.0, reference compartment, last three dates; days after 3 September 2024. The
// figures were worked out from it with general statistics software and are rounded to the digits given here.
func TestDwarfTomatoRedShare(t *testing.T) {
	first := time.Date(2024, time.September, 3, 0, 0, 0, 0, time.UTC)
	var d Data
	for _, r := range opendata.Rows(t, "dwarf-tomato-2024-per-plant-stage-counts.csv") {
		day, err := time.Parse(time.DateOnly, r["harvest_date"])
		if err != nil {
			t.Fatal(err)
		}
		if day.Month() == time.October && day.Day() == 7 { // stages weren't told apart
			continue
		}
		red := 0.0
		if cell := r["red_n"]; cell != "" { // blank is none
			if red, err = strconv.ParseFloat(cell, 64); err != nil {
				t.Fatal(err)
			}
		}
		total, err := strconv.ParseFloat(r["total_n"], 64)
		if err != nil {
			t.Fatal(err)
		}
		d.X = append(d.X, []float64{1, day.Sub(first).Hours() / 24})
		d.Y, d.Trials = append(d.Y, red), append(d.Trials, total)
	}
	fit, err := Regress(d, Logit)
	if err != nil {
		t.Fatal(err)
	}
	level, err := fit.LevelAt(0.5, 0.95, fit.Dispersion())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name            string
		got, want, half float64 // half a unit of the last digit published
	}{
		{"intercept", fit.Coef[0], -18.514, 0.0005},
		{"slope, per day", fit.Coef[1], 0.26457, 0.000005},
		{"day of half red", level.At, 69.98, 0.005},
		{"days from 10 to 90 %", 2 * math.Log(9) / fit.Coef[1], 16.6, 0.05},
		{"dispersion", fit.Dispersion(), 1.88, 0.005},
		{"binomial error of the slope", fit.SE()[1], 0.0161, 0.00005},
		{"quasi-binomial error of the slope", fit.SE()[1] * math.Sqrt(fit.Dispersion()), 0.0220, 0.00005},
	} {
		if math.Abs(c.got-c.want) > c.half {
			t.Errorf("%s: got %v, published %v", c.name, c.got, c.want)
		}
	}
}
