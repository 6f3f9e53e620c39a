package charts

import (
	"fmt"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/report"
)

// addExpected puts how many fruit are expected to be past ripe beside how many certainly are: a column after that one, a bar around its
// bar, and what they come to. Plants are those of the rows.
func addExpected(r *report.Season, s *Section, figure *Bars, plants []crop.ID) {
	all, _ := r.ExpectedPastRipe(nil)
	if all == nil {
		s.Notes[0] += " How much more may be past ripe isn't estimated here, since there is no forecast."
		return
	}
	const after = 5 // the column of what is certain
	t := s.Table
	t.Columns = slices.Insert(t.Columns, after, Column{Name: "Expected past ripe", Unit: unitFruit, Numeric: true})
	expected := BarSeries{Name: "expected to be past its hold time", Tone: ToneUnripe, Unlabelled: true}
	for i := range plants {
		text := "–"
		var mean *float64
		if x, _ := r.ExpectedPastRipe(&plants[i]); x != nil {
			text, mean = report.Expected(x.Mean, float64(x.Low), float64(x.High)), new(drawn(x.Mean))
		}
		t.Rows[i] = slices.Insert(t.Rows[i], after, text)
		expected.Values = append(expected.Values, mean)
	}
	figure.Series = slices.Insert(figure.Series, 1, expected)
	s.Sentence += fmt.Sprintf(" By expectation it is about %s (%s interval %d to %d).", report.Rounded(all.Mean, 0), aheadLevel, all.Low, all.High)
	s.Notes[0] += fmt.Sprintf(" “Expected” is from the forecast's model, with its %s interval in brackets: it allows for fruit that ripened between counts, for pickings that may have left older fruit, and for fruit that fell unseen. “–” is where the model knows nothing of the plant.", aheadLevel)
	if fewer := r.FewerExpectedSentence(); fewer != "" {
		s.Notes = append(s.Notes, fewer)
	}
}

// expectedDetail is what the strip of numbers says of it under what is certain.
func expectedDetail(r *report.Season, detail string) string {
	x, _ := r.ExpectedPastRipe(nil)
	if x == nil || report.Rounded(x.Mean, 0) == "0" {
		return detail
	}
	return fmt.Sprintf("about %s expected (%d – %d)", report.Rounded(x.Mean, 0), x.Low, x.High)
}

// aheadFigures are the strip's numbers of fruit that will be ripe in a week and in all; none where there can't be any.
func aheadFigures(r *report.Season) (figures []KeyFigure) {
	if days := r.RipeByDay(); days != nil {
		if week := days[report.NamedDays[1]-1]; week.Quantiles.High > 0 {
			figures = append(figures, KeyFigure{Label: fmt.Sprintf("Ripe in %d days", week.Days), Value: report.Rounded(week.Mean, 0), Unit: "more", Detail: fmt.Sprintf("expected (%d – %d)", week.Quantiles.Low, week.Quantiles.High)})
		}
	}
	if all := r.ToCome(); all != nil {
		figures = append(figures, KeyFigure{Label: "Still to come", Value: report.Rounded(all.Mean, 0), Unit: "fruit", Detail: fmt.Sprintf("of those %s (%d – %d)", report.HaveSet(all), all.Low, all.High)})
	}
	return figures
}
