package charts

import (
	"fmt"

	"vinetally/analytics/report"
)

// lookBackSections say what picking at other intervals would have lost; none where nothing ripe was lost or hung too long.
func lookBackSections(r *report.Season) []Section {
	back := r.LookBack()
	if back == nil {
		return nil
	}
	s := Section{Heading: "Had you picked more often", Sentence: r.LookBackSentence(), Empty: back.Refusal}
	if worst := r.CostliestSentence(); worst != "" {
		s.Notes = []string{worst}
	}
	if len(back.By) == 0 {
		return []Section{s}
	}
	panel := RangePanel{Title: "Share of the ripe fruit lost", Unit: "%"}
	t := &Table{Caption: fmt.Sprintf("Share of the ripe fruit lost if all of it is picked at an interval (%s)", aheadLevel+" interval"), Stack: true, Columns: []Column{{Name: "Picked"}, {Name: "Lost", Unit: "%", Numeric: true},
		{Name: "5 %", Unit: "%", Numeric: true}, {Name: "95 %", Unit: "%", Numeric: true}, {Name: "Saved", Unit: unitFruit, Numeric: true}}}
	for _, x := range back.By {
		share := x.LostShare
		panel.Rows = append(panel.Rows, RangeRow{Name: report.Every(x.EveryDays), Low: 100 * share.Low, Value: 100 * share.Mean, High: 100 * share.High})
		t.Rows = append(t.Rows, []string{report.Every(x.EveryDays), report.Rounded(100*share.Mean, 1), report.Rounded(100*share.Low, 1), report.Rounded(100*share.High, 1),
			fmt.Sprintf("%s (%s to %s)", report.Rounded(x.Saved.Mean, 0), report.Rounded(x.Saved.Low, 0), report.Rounded(x.Saved.High, 0))})
	}
	s.Figure = Ranges{Interval: aheadLevel + " interval", Value: "expected", Panels: []RangePanel{panel},
		Basis: count(back.Losses, "dated loss of ripe fruit", "dated losses of ripe fruit") + unwrittenBasis(back.Unwritten)}
	s.Table = t
	s.Notes = append(append([]string{r.SavedSentence()}, s.Notes...), back.Warnings...)
	return []Section{s}
}

// unwrittenBasis adds what is thought to have gone unwritten, where that is a fruit or more.
func unwrittenBasis(fruit float64) string {
	if fruit < 0.5 {
		return ""
	}
	return fmt.Sprintf(", and about %s more that the model takes to have gone unwritten", report.Rounded(fruit, 0))
}
