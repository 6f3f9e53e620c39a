package charts

import (
	"fmt"
	"strings"
	"testing"

	"vinetally/analytics/report"
	"vinetally/testdata/demoseasons"
)

// TestSameDates: standing fruit, curves, temperature and ripening time of a season have every date at the same place, counts are ticked on
// their days, and the weeks of the ripening time add up to what its sentence says.
func TestSameDates(t *testing.T) {
	for name, trial := range demoseasons.Load(t) {
		r := report.Of(trial, report.Options{})
		p := SeasonPage(r, ReportLinks{})
		axes := map[string][]string{}
		for _, s := range p.Sections {
			switch s.Heading {
			case "When the fruit ripened", "Temperature, by place", "Ripening time, by place":
			default:
				if !strings.HasPrefix(s.Heading, "Standing fruit by ripeness") {
					continue
				}
			}
			d, err := s.Figure.draw()
			if err != nil {
				t.Fatal(err)
			}
			for i, axis := range list(d.option["xAxis"]) {
				grid := list(d.option["grid"])[i]
				key := fmt.Sprint(at(axis, "min"), at(axis, "max"), at(grid, "left"), at(grid, "right"))
				axes[key] = append(axes[key], s.Heading)
			}
		}
		if len(axes) != 1 {
			t.Errorf("%s: charts of several dates: %v", name, axes)
		}
		for i := range r.Standing {
			days := 0
			for _, d := range r.Standing[i].Days {
				if d.Visited > 0 {
					days++
				}
			}
			for _, m := range standingSection(r, &r.Standing[i], false).Figure.(StageAreas).Marks {
				if m.Kind == Counted {
					days--
				}
			}
			if days != 0 {
				t.Errorf("%s: %d days of counts aren't ticked", name, days)
			}
		}
		sums := section(t, p, "Ripening time, by place")
		for i := range r.Air {
			last := ""
			for _, row := range sums.Table.Rows {
				if row[0] == r.Air[i].Place {
					last = row[3]
				}
			}
			if !strings.Contains(sums.Sentence, r.Air[i].Place+" "+last+" standard days") {
				t.Errorf("%s: the table ends at %s for %s: %s", name, last, r.Air[i].Place, sums.Sentence)
			}
		}
	}
}
