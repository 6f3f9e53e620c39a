package charts

import (
	"strconv"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestWeeksAddUp: a plant's cells add up to its fruit, a week's to the season's, and a plant's own report has the same weeks.
func TestWeeksAddUp(t *testing.T) {
	number := func(text string) int {
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	for name, trial := range demoseasons.Load(t) {
		r := report.Of(trial, report.Options{NoForecast: true})
		table := section(t, SeasonPage(r, ReportLinks{}), "Picked, by plant and week").Table
		sums := make([]int, len(table.Columns))
		for i, row := range table.Rows {
			all := 0
			for c := 2; c < len(row)-1; c++ {
				all += number(row[c])
			}
			if last := number(row[len(row)-1]); all != last {
				t.Errorf("%s, %s: the weeks have %d fruit, all %d", name, row[0], all, last)
			}
			for c := 2; c < len(row); c++ {
				if i < len(table.Rows)-1 {
					sums[c] += number(row[c])
				} else if number(row[c]) != sums[c] {
					t.Errorf("%s, %s: the plants have %d fruit, all %s", name, table.Columns[c].Name, sums[c], row[c])
				}
			}
		}
		if sums[len(sums)-1] != r.Yield.Fruits {
			t.Errorf("%s: %d fruit in the weeks, %d picked", name, sums[len(sums)-1], r.Yield.Fruits)
		}
		for i, p := range r.Plants {
			one, err := report.OfPlant(trial, p.Records.Plant.ID, report.Options{NoForecast: true})
			if err != nil {
				t.Fatal(err)
			}
			fruits := 0
			if own := section(t, PlantPage(one, ReportLinks{}), "Picked, week by week").Table; own != nil {
				for _, row := range own.Rows {
					fruits += number(row[1])
					if number(row[2])+number(row[3]) != number(row[1]) {
						t.Errorf("%s, %s: %v", name, p.Book.Plant, row)
					}
				}
			}
			if row := table.Rows[i]; row[0] != p.Book.Plant || fruits != number(row[len(row)-1]) {
				t.Errorf("%s: %s has %d fruit in its own report, the season's row is %v", name, p.Book.Plant, fruits, row)
			}
		}
	}
}
