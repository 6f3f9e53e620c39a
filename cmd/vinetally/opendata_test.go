package main

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/estimate"
	"vinetally/analytics/ledger"
	"vinetally/analytics/yield"
	"vinetally/storage"
	"vinetally/testdata/opendata"
)

// imported imports files through the command line and loads their one season.
func imported(t *testing.T, files map[string]string) *crop.Trial {
	t.Helper()
	db := scratch(t)
	wantDone(t, "import", "--db", db, folder(t, files))
	store, err := storage.Open(t.Context(), db, storage.Options{Now: time.Now})
	if err != nil {
		t.Fatal(err)
	}
	defer store.Close()
	site := records{store.Site()}
	catalogue, err := site.Catalogue(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	trial, err := site.Season(t.Context(), catalogue.Seasons[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	return trial
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %v, want %v ± %v", what, got, want, tolerance)
	}
}

func meanSD(xs []float64) (mean, sd float64) {
	for _, x := range xs {
		mean += x / float64(len(xs))
	}
	for _, x := range xs {
		sd += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(sd / float64(len(xs)-1))
}

// TestDwarfTomatoCounts takes published counts of dwarf tomatoes by ripeness in through CSV and gets the published figures
// out of the ledger. Source: Maree et al. (2025), 4th Autonomous Greenhouse Challenge: Dwarf Tomato Timeseries and Images,
// 4TU.ResearchData, doi 10.4121/fa102772-32db-4b30-bace-12f2016722ce.v1, CC BY 4.0; totals and means worked out from its
// reference compartment. Every plant was harvested whole on its one day. On 7 October only totals were noted, on
// 15 November coloured fruit were not told apart.
func TestDwarfTomatoCounts(t *testing.T) {
	var plants, counts strings.Builder
	plants.WriteString("season,place,cultivar,plant,transplanted_on\n")
	counts.WriteString("season,plant,counted_at,total,green,coloured,red\n")
	for _, r := range opendata.Rows(t, "dwarf-tomato-2024-per-plant-stage-counts.csv") {
		plant := r["harvest_date"] + " " + r["plant_id"] // the source numbers the plants of each date anew
		fmt.Fprintf(&plants, "2024,compartment,dwarf,%s,2024-09-03\n", plant)
		green, coloured, red := r["green_n"], r["coloured_n"], r["red_n"]
		if r["harvest_date"] == "2024-10-22" || r["harvest_date"] == "2024-11-05" { // a blank cell of these days means none
			coloured, red = zeroIfBlank(coloured), zeroIfBlank(red)
		}
		fmt.Fprintf(&counts, "2024,%s,%s,%s,%s,%s,%s\n", plant, r["harvest_date"], r["total_n"], green, coloured, red)
	}
	trial := imported(t, map[string]string{
		"scales.csv":    "scale,position,stage,ripe\nthree,1,green,\nthree,2,coloured,\nthree,3,red,yes\n",
		"cultivars.csv": "cultivar,scale\ndwarf,three\n", "plants.csv": plants.String(), "counts.csv": counts.String(),
	})
	wantRedShareLogit(t, trial)
	type day struct {
		set   []float64
		stage [3]int
		known [3]bool
	}
	days := map[string]*day{}
	for _, r := range trial.ByPlant() {
		b := ledger.Of(r)
		v := b.Visits[0]
		d := days[v.CountedAt.Day.String()]
		if d == nil {
			d = &day{}
			days[v.CountedAt.Day.String()] = d
		}
		if v.EverReached[0] == nil {
			t.Fatalf("plant %s: how many fruit were set isn't known, though all were counted", b.Plant)
		}
		d.set = append(d.set, float64(*v.EverReached[0]))
		for i, n := range v.Standing {
			if n != nil {
				d.stage[i] += *n
				d.known[i] = true
			}
		}
	}
	for _, want := range []struct {
		day      string
		plants   int
		total    float64
		mean, sd float64
		stage    [3]int
		known    [3]bool
	}{
		{"2024-10-07", 6, 209, 34.8, 4.5, [3]int{}, [3]bool{}},
		{"2024-10-22", 6, 347, 57.8, 4.5, [3]int{343, 4, 0}, [3]bool{true, true, true}},
		{"2024-11-05", 6, 321, 53.5, 12.8, [3]int{147, 127, 47}, [3]bool{true, true, true}},
		{"2024-11-15", 21, 968, 46.1, 12.5, [3]int{302, 0, 666}, [3]bool{true, true, true}},
	} {
		d := days[want.day]
		if d == nil || len(d.set) != want.plants {
			t.Fatalf("%s: want %d plants, got %+v", want.day, want.plants, d)
		}
		mean, sd := meanSD(d.set)
		within(t, want.day+" total", mean*float64(len(d.set)), want.total, 1e-9)
		within(t, want.day+" mean", mean, want.mean, 0.05)
		within(t, want.day+" SD", sd, want.sd, 0.05)
		if want.day == "2024-11-15" {
			// Coloured fruit were not told apart, and total = green + red: the ledger may take the rest for none.
			if d.stage[0] != want.stage[0] || d.stage[2] != want.stage[2] {
				t.Errorf("%s: by stage %v, want green 302 and red 666", want.day, d.stage)
			}
			continue
		}
		if d.stage != want.stage || d.known != want.known {
			t.Errorf("%s: by stage %v known %v, want %v known %v", want.day, d.stage, d.known, want.stage, want.known)
		}
	}
}

// wantRedShareLogit fits the published binomial logit of the red share on the day since 3 September (the compartment's log
// starts there) to the imported counts. The fit is test code, iteratively reweighted least squares; the product has no
// logit. Published: intercept −18.514, slope 0.26457 a day, half red at day 69.98, 10 to 90 % in 16.6 days.
func wantRedShareLogit(t *testing.T, trial *crop.Trial) {
	t.Helper()
	first := crop.Date{Year: 2024, Month: time.September, Day: 3}
	intercept, slope := 0.0, 0.0
	for range 50 {
		var s0, s1, s2, r0, r1 float64
		for _, v := range trial.Visits {
			red, counted := v.Counts["red"]
			if !counted {
				continue
			}
			x, n := float64(v.CountedAt.Day.DaysSince(first)), float64(*v.Total)
			p := 1 / (1 + math.Exp(-intercept-slope*x))
			w := n * p * (1 - p)
			s0, s1, s2 = s0+w, s1+w*x, s2+w*x*x
			r0, r1 = r0+float64(red)-n*p, r1+x*(float64(red)-n*p)
		}
		det := s0*s2 - s1*s1
		intercept, slope = intercept+(s2*r0-s1*r1)/det, slope+(s0*r1-s1*r0)/det
	}
	within(t, "logit intercept", intercept, -18.514, 0.0005)
	within(t, "logit slope", slope, 0.26457, 0.000005)
	within(t, "day of half red", -intercept/slope, 69.98, 0.005)
	within(t, "days from 10 to 90 % red", 2*math.Log(9)/slope, 16.6, 0.05)
}

func zeroIfBlank(cell string) string {
	if cell == "" {
		return "0"
	}
	return cell
}

// TestGreenhousePicks takes twelve weekly pickings of 135 plants in through CSV and gets the published totals, means and
// curves out. Source: Universidad de Antioquia (2025), Mobile and Manual Dataset for Greenhouse Tomato Crop, Zenodo,
// doi 10.5281/zenodo.16745911, CC BY 4.0; figures worked out from it with general statistics software. The cumulative
// pickings still rise at the last date, so the product itself would refuse a curve; the fits are checked below it.
func TestGreenhousePicks(t *testing.T) {
	rows := opendata.Rows(t, "greenhouse-tomato-2024-weekly-picks-135-plants.csv")
	var plants, pickings strings.Builder
	plants.WriteString("season,place,cultivar,plant,transplanted_on\n")
	pickings.WriteString("season,plant,picked_at,stage,fruits,mass_g\n")
	seen := map[string]bool{}
	for _, r := range rows {
		if !seen[r["plant"]] {
			seen[r["plant"]] = true
			fmt.Fprintf(&plants, "2024,greenhouse,%s,%s,2023-10-01\n", r["treatment"], r["plant"])
		}
		mass := r["fruit_g"]
		if r["fruits_picked"] == "0" {
			mass = ""
		}
		fmt.Fprintf(&pickings, "2024,%s,%s,red,%s,%s\n", r["plant"], r["date"], r["fruits_picked"], mass)
	}
	y := yield.Of(imported(t, map[string]string{"plants.csv": plants.String(), "pickings.csv": pickings.String()}))
	if y.Fruits != 8489 {
		t.Errorf("fruit picked: got %d, want 8489", y.Fruits)
	}
	within(t, "mass picked, kg", y.MassG/1000, 754.618, 0.0005)
	var fruits, grams []float64
	for _, p := range y.Plants {
		fruits, grams = append(fruits, float64(p.Fruits)), append(grams, p.MassG)
	}
	if len(fruits) != 135 {
		t.Fatalf("plants with pickings: got %d, want 135", len(fruits))
	}
	mean, sd := meanSD(fruits)
	within(t, "fruit a plant", mean, 62.88, 0.005)
	within(t, "its SD", sd, 8.68, 0.005)
	mean, sd = meanSD(grams)
	within(t, "g a plant", mean, 5590, 0.5)
	within(t, "its SD", sd, 662, 0.5)
	best := slices.MaxFunc(y.Cultivars, func(a, b yield.Group) int { return int(a.MassG - b.MassG) })
	worst := slices.MinFunc(y.Cultivars, func(a, b yield.Group) int { return int(a.MassG - b.MassG) })
	if best.Cultivar.Name != "T3_N0P0K2" || worst.Cultivar.Name != "T20_N2P0K1" {
		t.Errorf("heaviest and lightest: got %s and %s", best.Cultivar.Name, worst.Cultivar.Name)
	}
	within(t, "heaviest mean, g", best.MassG/5, 6200.4, 0.05)
	within(t, "lightest mean, g", worst.MassG/5, 5124.6, 0.05)

	sessions := map[crop.Date]yield.Tally{}
	for _, g := range y.Cultivars {
		for _, d := range g.Days {
			s := sessions[d.On]
			s.Fruits += d.Fruits
			s.MassG += d.MassG
			sessions[d.On] = s
		}
	}
	first := crop.Date{Year: 2024, Month: time.January, Day: 18}
	var data estimate.Data
	sum := 0
	for _, want := range []struct {
		on     string
		fruits int
		kg     float64
	}{
		{"2024-01-18", 118, 19.73}, {"2024-01-25", 503, 75.36}, {"2024-02-01", 852, 101.88}, {"2024-02-09", 746, 85.89},
		{"2024-02-15", 947, 100.46}, {"2024-02-23", 1177, 110.54}, {"2024-03-01", 414, 32.77}, {"2024-03-08", 333, 21.98},
		{"2024-03-15", 727, 42.64}, {"2024-03-22", 1162, 81.18}, {"2024-03-27", 476, 34.15}, {"2024-04-01", 1034, 48.03},
	} {
		on, err := crop.ParseDate(want.on)
		if err != nil {
			t.Fatal(err)
		}
		got := sessions[on]
		if got.Fruits != want.fruits {
			t.Errorf("%s: got %d fruit, want %d", want.on, got.Fruits, want.fruits)
		}
		within(t, want.on+" kg", got.MassG/1000, want.kg, 0.005)
		sum += got.Fruits
		data.X, data.Y = append(data.X, float64(on.DaysSince(first))), append(data.Y, float64(sum)/135)
	}
	for _, want := range []struct {
		family   estimate.Curve
		a, k, t0 float64
		aic      float64
	}{
		{estimate.LogisticRate{}, 70.28, 0.05532, 44.15, 68.76},
		{estimate.GompertzRate{}, 86.84, 0.02849, 40.12, 63.44},
	} {
		f, err := estimate.FitCurve(want.family, data)
		if err != nil {
			t.Fatalf("%s: %v", want.family.Family(), err)
		}
		name := want.family.Family() + " "
		within(t, name+"a", f.Theta[0], want.a, 0.005)
		within(t, name+"k", f.Theta[1], want.k, 0.000005)
		within(t, name+"t0", f.Theta[2], want.t0, 0.005)
		within(t, name+"AIC", f.AIC, want.aic, 0.005)
	}
}
