package report_test

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
	"vinetally/charts"
	"vinetally/testdata/demoseasons"
)

// column returns the cells of a column of a section's table by its name, and the heads of its rows; none where there is no table.
func column(p charts.Page, heading, name string) (cells, heads []string) {
	for _, s := range p.Sections {
		if s.Heading != heading || s.Table == nil {
			continue
		}
		for c, col := range s.Table.Columns {
			if col.Name == name {
				for _, row := range s.Table.Rows {
					cells, heads = append(cells, row[c]), append(heads, row[0])
				}
				return cells, heads
			}
		}
	}
	return nil, nil
}

// added adds cells up; known is false where one of them is no plain number.
func added(cells []string) (sum int, known bool) {
	for _, cell := range cells {
		n, err := strconv.Atoi(cell)
		if err != nil {
			return 0, false
		}
		sum += n
	}
	return sum, true
}

// wantTablesAgree holds the tables of a season's page against each other: what was picked is the same by cultivar, plant and week,
// marketable or not, what was lost the same by cause and by plant, and what stands the same on the last day and plant by plant.
func wantTablesAgree(t *testing.T, what string, trial *crop.Trial) {
	t.Helper()
	r := report.Of(trial, report.Options{NoForecast: true})
	p := charts.SeasonPage(r, charts.ReportLinks{})
	byPlant, _ := column(p, "Plants", "Picked")
	picked, known := added(byPlant)
	if !known {
		t.Errorf("%s: a plant's picking is no number: %v", what, byPlant)
	}
	picked += r.Yield.Unattributed.Fruits
	for _, c := range []struct{ heading, column string }{{"Picked so far, by cultivar", "Picked"}, {"Picked, by plant and week", "All"}} {
		cells, heads := column(p, c.heading, c.column)
		if len(cells) == 0 {
			if picked != 0 {
				t.Errorf("%s: %d fruit were picked and “%s” has no table", what, picked, c.heading)
			}
			continue
		}
		n := len(cells) - 1
		sum, _ := added(cells[:n])
		all, _ := added(cells[n:])
		if heads[n] != "All" || sum != picked || all != picked {
			t.Errorf("%s: “%s” has %d and %d in all, the plants %d", what, c.heading, sum, all, picked)
		}
	}
	lost, _ := column(p, "Plants", "Lost or cleared")
	causes, _ := column(p, "Losses, by cause", "All")
	plants, _ := added(lost)
	all, _ := added(causes)
	units := 0
	for i := range r.Trial.Losses {
		l := &r.Trial.Losses[i]
		if _, sure := r.Trial.PlantOf(l.PlantID, &l.Unit, l.LostAt); !sure && l.Fruits != nil {
			units += *l.Fruits
		}
	}
	if plants+units != all {
		t.Errorf("%s: plants lost %d and units %d, the causes are of %d", what, plants, units, all)
	}
	standing, _ := column(p, "Plants", "Standing")
	stands, known := added(standing)
	if !known || len(r.Standing) != 1 {
		return
	}
	last, allStages := 0, true
	for _, stage := range r.Standing[0].Scale.Stages {
		cells, _ := column(p, "Standing fruit by ripeness", stage.Name)
		n, err := strconv.Atoi(cells[len(cells)-1])
		last, allStages = last+n, allStages && err == nil
	}
	if allStages && last != stands {
		t.Errorf("%s: %d fruit stand on the last day, %d plant by plant", what, last, stands)
	}
	if words := text(r.Answer); stands > 0 && !strings.Contains(words, fmt.Sprintf("%d fruit stand", stands)) && stands != 1 {
		t.Errorf("%s: %d fruit stand by the table, the answer says\n%s", what, stands, words)
	}
}

// wantLedgerCloses holds a plant's table to its own rule: what had ever reached the first stage is what stands, was picked and was lost
// until then. More are at most the fruit that were taken from the plant's unit and not from it for certain.
func wantLedgerCloses(t *testing.T, what string, trial *crop.Trial, id crop.ID) {
	t.Helper()
	one, err := report.OfPlant(trial, id, report.Options{NoForecast: true})
	if err != nil {
		t.Fatal(err)
	}
	n := len(one.Plant.Book.Scale)
	for _, s := range charts.PlantPage(one, charts.ReportLinks{}).Sections {
		if s.Heading != "Every fruit accounted for" || s.Table == nil {
			continue
		}
		taken := 0
		for i, row := range s.Table.Rows {
			units := 0
			for _, x := range one.Plant.Book.Removals {
				if !x.Sure && x.Interval <= i {
					units += x.Fruits
				}
			}
			gone, _ := added(row[1+2*n : 3+2*n])
			taken += gone
			stands, known := added(row[1 : 1+n])
			ever, everKnown := added(row[1+n : 2+n])
			if known && everKnown && (ever < stands+taken || ever > stands+taken+units) {
				t.Errorf("%s, %s: %d stand, %d were taken and up to %d with the unit; %d were ever there", what, row[0], stands, taken, units, ever)
			}
		}
	}
}

// TestTablesAgree: fruit is conserved in every table of a report, of the demo and of seasons that people write down anyhow.
func TestTablesAgree(t *testing.T) {
	seasons := demoseasons.Load(t)
	for seed := range uint64(80) {
		trial := anySeason(rand.New(rand.NewPCG(seed, 2)))
		trial.Arrange()
		seasons[fmt.Sprintf("seed %d", seed)] = trial
	}
	for name, trial := range seasons {
		wantTablesAgree(t, name, trial)
		for i := range trial.Plants {
			wantLedgerCloses(t, name+", "+trial.Plants[i].Label, trial, trial.Plants[i].ID)
		}
	}
}
