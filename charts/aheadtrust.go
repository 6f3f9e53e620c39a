package charts

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/report"
)

// residenceSection shows how long fruit stay in each stage; false where the model knows nothing of it.
func residenceSection(r *report.Season) (Section, bool) {
	all := r.Residence()
	if len(all) == 0 {
		return Section{}, false
	}
	unit := "calendar days"
	if r.Ahead.Forecast.Thermal {
		unit = "standard days"
	}
	f := Ranges{Interval: aheadLevel + " interval", Value: "mean of the cultivar", Mark: "published time"}
	t := &Table{Caption: fmt.Sprintf("Mean time of fruit in each stage, in %s", unit), Columns: []Column{{Name: "Cultivar"}, {Name: "Stage"}, {Name: "Mean", Unit: "days", Numeric: true},
		{Name: "5 %", Unit: "days", Numeric: true}, {Name: "95 %", Unit: "days", Numeric: true}, {Name: "Published", Unit: "days", Numeric: true}, {Name: "Told by"}}}
	at := map[string]int{}
	for _, x := range all {
		stage := x.From + " to " + x.To
		i, known := at[stage]
		if !known {
			i = len(f.Panels)
			at[stage] = i
			f.Panels = append(f.Panels, RangePanel{Title: title(stage), Unit: unit})
		}
		f.Panels[i].Rows = append(f.Panels[i].Rows, RangeRow{Name: x.Cultivar, Low: x.Low, Value: x.Days, High: x.High, Mark: &x.Published})
		t.Rows = append(t.Rows, []string{x.Cultivar, stage, report.Rounded(x.Days, 1), report.Rounded(x.Low, 1), report.Rounded(x.High, 1), report.Rounded(x.Published, 1), x.ToldBy})
	}
	s := Section{Heading: "How long fruit stay in each stage", Sentence: r.ResidenceSentence(), Figure: f, Table: t}
	if r.Ahead.Forecast.Thermal {
		s.Notes = []string{"A standard day is the ripening done in one day at 20 °C: a warm day counts as more than one."}
	}
	return s, true
}

// heldSection holds earlier forecasts against what happened; false where there is no forecast and never was one.
func heldSection(r *report.Season) (Section, bool) {
	h := r.Ahead.Held()
	s := Section{Heading: "How far to trust the forecast", Sentence: r.HeldSentence()}
	if len(h.Weeks) == 0 {
		s.Empty = h.Why
		return s, h.Why != ""
	}
	f := Ranges{Interval: aheadLevel + " interval of the forecast", Value: "forecast", Mark: "what happened", Basis: "what is dated up to the first day of each week"}
	panel := RangePanel{Title: "Fruit newly ripe", Unit: unitFruit}
	t := &Table{Caption: "Forecasts of about a week, and what became ripe", Columns: []Column{{Name: "Forecast at the end of"}, {Name: "For the end of"}, {Name: "Mean", Unit: unitFruit, Numeric: true},
		{Name: "5 %", Unit: unitFruit, Numeric: true}, {Name: "95 %", Unit: unitFruit, Numeric: true}, {Name: "Became ripe", Unit: unitFruit, Numeric: true}, {Name: "Inside"}, {Name: "Plants", Numeric: true}, {Name: "Counts", Numeric: true}}}
	for _, w := range h.Weeks {
		inside := "no"
		if w.Inside {
			inside = "yes"
		}
		t.Rows = append(t.Rows, []string{w.From.Words(), w.To.Words(), report.About(w.Mean), whole(w.Low), whole(w.High), whole(w.Ripened), inside, whole(w.Plants), whole(w.Counts)})
		panel.Rows = append(panel.Rows, RangeRow{Name: shortDay(w.From) + " – " + shortDay(w.To), Low: float64(w.Low), Value: w.Mean, High: float64(w.High), Mark: new(float64(w.Ripened))})
	}
	f.Panels = []RangePanel{panel}
	s.Figure, s.Table = f, t
	s.Notes = []string{
		"Each forecast used only what is dated up to the end of its day, as the records stand now: an entry that was made late, or mended since, is in it as if it had been there then. It was made for a day of counting about a week on, and held against the fruit that had ever been ripe by the ledgers of that day; what was ripe on plants not counted on it is read off a straight line between their counts. Weeks in which more ripe fruit was taken than can have stood are left out.",
	}
	return s, true
}

// surpriseSection lists the records that the model didn't expect; false where there are none.
func surpriseSection(r *report.Season, links ReportLinks) (Section, bool) {
	all := r.Surprises()
	if len(all) == 0 {
		return Section{}, false
	}
	const most = 20
	t := &Table{Caption: "Counts, pickings and losses that the model didn't expect, the least expected first", Stack: true, Columns: []Column{{Name: "Plant"}, {Name: "When"}, {Name: "Stage"},
		{Name: "On record", Unit: unitFruit, Numeric: true}, {Name: "What"}, {Name: "Expected to hang", Unit: unitFruit, Numeric: true}}}
	var plants []string
	for _, x := range all[:min(most, len(all))] {
		t.Rows = append(t.Rows, []string{x.Plant, x.At.Words(), stageOrAll(x.Stage), report.Rounded(x.Seen, 0), string(x.What), report.Rounded(x.Expected, 0)})
		if links.Plant != nil {
			t.RowLinks = append(t.RowLinks, links.Plant(x.PlantID.String()))
		}
		if !slices.Contains(plants, x.Plant) {
			plants = append(plants, x.Plant)
		}
	}
	n := len(all)
	s := Section{Heading: "Records that weren't expected", Table: t, Sentence: fmt.Sprintf("%s with what came before on %s.", count(n, "record disagrees", "records disagree"), strings.Join(plants, ", "))}
	s.Notes = []string{"If one is wrong, mend it; as it is, such a count weighs less in the forecast. If it is right, more may have been picked, lost or moved than was written down, or a count before it is wrong. Of a picking or loss the fruit expected are those of its stage and the stages beside it."}
	return s, true
}

// stageOrAll names a stage; none is all of them together.
func stageOrAll(stage string) string {
	if stage == "" {
		return "all together"
	}
	return stage
}
