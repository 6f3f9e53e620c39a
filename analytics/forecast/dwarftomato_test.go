package forecast_test

import (
	"fmt"
	"strconv"
	"testing"
	"time"

	"vinetally/testdata/opendata"
)

// TestDwarfTomato follows published counts of dwarf tomatoes: Maree et al. (2025), 4th Autonomous Greenhouse Challenge: Dwarf Tomato Timeseries and Images,
// 4TU.ResearchData, doi 10.4121/fa102772-32db-4b30-bace-12f2016722ce.v1, CC BY 4.0, reference compartment. Every plant was cut at its count, so the six
// plants of 22 October and the six of 5 November stand for one another here, as one plant of six times the fruit; what is forecast for the 15th is
// held against the 21 plants of that day. The readings of the compartment aren't with them: days are calendar days.
func TestDwarfTomato(t *testing.T) {
	sums := map[string]map[string]int{} // by day and column
	for _, r := range opendata.Rows(t, "dwarf-tomato-2024-per-plant-stage-counts.csv") {
		day := r["harvest_date"]
		if sums[day] == nil {
			sums[day] = map[string]int{}
		}
		for _, name := range []string{"total_n", "green_n", "coloured_n", "red_n"} {
			if cell := r[name]; cell != "" { // blank is none
				n, err := strconv.Atoi(cell)
				if err != nil {
					t.Fatal(err)
				}
				sums[day][name] += n
			}
		}
	}
	const first, second, third = "2024-10-22", "2024-11-05", "2024-11-15"
	script := "scale green coloured red\n"
	for _, day := range []string{first, second} {
		n := sums[day]
		script += fmt.Sprintf("count %sT12:00:00Z green=%d coloured=%d red=%d\n", day, n["green_n"], n["coloured_n"], n["red_n"])
	}
	if n := sums[second]; n["green_n"] != 147 || n["coloured_n"] != 127 || n["red_n"] != 47 {
		t.Fatalf("on 5 November %v, published are 147 green, 127 coloured, 47 red", n)
	}
	trial := trialOf(t, script)
	f := forecastOf(t, trial, instant(third).Add(12*time.Hour))
	residence := f.Cultivars[0].Residence
	for _, r := range residence {
		t.Logf("%s to %s: %.1f days (%.1f to %.1f)", r.From, r.To, r.MeanDays.Value, r.MeanDays.Low, r.MeanDays.High)
	}
	if d := residence[1].MeanDays.Value; d < 3 || d > 14 { // what breaker to red takes at about 20 °C: 5 to 8 days, doubtful beyond 3 and 14 (published tables)
		t.Errorf("coloured fruit takes %v days to red", d)
	}
	if d := residence[0].MeanDays.Value; d < 25 || d > 60 { // anthesis to breaker of a micro-dwarf at 23 °C takes about 40 days, doubtful beyond 30 and 55
		t.Errorf("green fruit takes %v days to colour", d)
	}
	standing := f.Plants[0].Standing
	total := standing[0].Mean + standing[1].Mean + standing[2].Mean
	share, want := standing[0].Mean/total, float64(sums[third]["green_n"])/float64(sums[third]["total_n"])
	t.Logf("expected to stand: %.1f green, %.1f coloured, %.1f red", standing[0].Mean, standing[1].Mean, standing[2].Mean)
	t.Logf("on 15 November %.0f %% are expected to be green, %.0f %% of what was cut then were", 100*share, 100*want)
	// Between plants the share of green on 5 November had a standard deviation of 6 points or so, and nobody knows how warm it was.
	if share < want-0.2 || share > want+0.2 {
		t.Errorf("on 15 November a share of %v is expected to be green, of the plants cut then %v was", share, want)
	}
}
