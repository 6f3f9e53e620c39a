package report

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// ByDay is a day in a cell, with its interval in brackets.
func (s *Season) ByDay(by forecast.RipeBy) string {
	switch {
	case by.On.IsZero():
		return "–"
	case by.Low.IsZero():
		return s.dateOf(by.On).Words() + " (no interval)"
	}
	return fmt.Sprintf("%s (%s)", s.dateOf(by.On).Words(), crop.RangeWords(s.dateOf(by.Low), s.dateOf(by.High)))
}

// shareRipe is by when a share of what is to come is ripe.
type shareRipe struct {
	name string
	by   forecast.RipeBy
}

// RipeByWords say by when half, nine tenths and the last of what is to come are ripe, and where nothing is within the days forecast, the first, up to
// the first of these that is too far ahead. Of fewer than ten fruit nine tenths are all but a part of one, so that the last says it, as where both are
// on one day.
func (s *Season) RipeByWords(t *forecast.ToCome) string {
	told := []shareRipe{{"the first", t.First}, {"half of them", t.Half}, {"nine tenths", t.Most}, {"the last", t.Last}}
	switch {
	case Rounded(t.Mean, 0) == "1":
		told = []shareRipe{{"", t.Half}}
	case t.Mean < 9.5, t.Most.On.Equal(t.Last.On) && !t.Most.On.IsZero():
		told = slices.Delete(told, 2, 3)
	}
	if s.moreToCome() && len(told) > 1 {
		told = told[1:]
	}
	var parts []string
	for _, x := range told {
		if x.by.On.IsZero() {
			if x.name != "" {
				parts = append(parts, x.name+" probably more than sixteen weeks ahead")
			}
			break // so are larger shares
		}
		about, between := "", ""
		if x.by.Low.IsZero() {
			about = "about "
		} else {
			between = ", between " + twoDays(s.shortDay(x.by.Low), " and ", s.shortDay(x.by.High))
		}
		parts = append(parts, strings.TrimSpace(x.name+" by ")+" "+about+s.shortDay(x.by.On)+between)
	}
	if parts == nil {
		return ""
	}
	return ": " + strings.Join(parts, "; ")
}

func (s *Season) dateOf(t time.Time) crop.Date { return crop.DateOf(t.In(s.AsOf.Location())) }

// shortDay leaves out the year: of a day within sixteen weeks everybody knows it.
func (s *Season) shortDay(t time.Time) string { return shortDate(s.dateOf(t)) }

func shortDate(d crop.Date) string { return d.Noon(time.UTC).Format("2 Jan") }

// twoDays names a month that two days share once.
func twoDays(low, to, high string) string {
	day, month, _ := strings.Cut(low, " ")
	if strings.HasSuffix(high, " "+month) {
		low = day
	}
	return low + to + high
}
