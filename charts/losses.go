package charts

import (
	"fmt"

	"vinetally/analytics/report"
)

func lossSection(r *report.Season) Section {
	s := Section{Heading: "Losses, by cause"}
	if len(r.Losses) == 0 {
		s.Empty = "No losses have been recorded. Fallen, split, dried or rotted fruit is worth a line when it is found: it is what a later picking round could have saved."
		return s
	}
	figure := Bars{Title: "Fruit lost", Unit: "fruit", Layout: Stacked, Basis: count(len(r.Trial.Losses), "recorded loss", "recorded losses")}
	ripe, unripe := BarSeries{Name: "ripe when lost", Tone: ToneRipe}, BarSeries{Name: "unripe when lost", Tone: ToneUnripe}
	s.Table = &Table{Caption: "Losses by cause", Columns: []Column{{Name: "Cause"}, {Name: "Ripe", Unit: "fruit", Numeric: true},
		{Name: "Unripe", Unit: "fruit", Numeric: true}, {Name: "All", Unit: "fruit", Numeric: true}}}
	for _, l := range r.Losses {
		figure.Rows = append(figure.Rows, string(l.Cause))
		ripe.Values = append(ripe.Values, new(float64(l.Ripe)))
		unripe.Values = append(unripe.Values, new(float64(l.Unripe)))
		s.Table.Rows = append(s.Table.Rows, []string{string(l.Cause), whole(l.Ripe), whole(l.Unripe), whole(l.Ripe + l.Unripe)})
	}
	figure.Series = []BarSeries{ripe, unripe}
	s.Figure = figure
	s.Sentence = fmt.Sprintf("Fruit lost by cause: %d in all", r.Totals.Lost)
	if n := r.Totals.Cleared; n > 0 {
		s.Sentence += fmt.Sprintf(", and %d more cleared with removed plants", n)
	}
	s.Sentence += "."
	s.Notes = []string{"“Thinned” fruit was taken off on purpose; “cleared” fruit was left on the plant when it was removed."}
	return s
}
