package report

import (
	"fmt"
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

// RipeByWords say by when half, nine tenths and the last of what is to come are ripe; nothing where all are too far ahead. Of fewer than ten fruit nine tenths
// are all but a part of one, so that the last says it.
func (s *Season) RipeByWords(t *forecast.ToCome) string {
	type share struct {
		name string
		by   forecast.RipeBy
	}
	told := []share{{"half of them by ", t.Half}, {"nine tenths by ", t.Most}, {"the last by ", t.Last}}
	switch {
	case Rounded(t.Mean, 0) == "1":
		told = []share{{"by ", t.Half}}
	case t.Mean < 9.5 && !t.Last.On.IsZero():
		told = []share{told[0], told[2]}
	}
	var parts []string
	for _, x := range told {
		if x.by.On.IsZero() {
			continue
		}
		if x.by.Low.IsZero() {
			parts = append(parts, x.name+"about "+s.shortDay(x.by.On))
			continue
		}
		parts = append(parts, x.name+s.shortDay(x.by.On)+", between "+betweenDays(s.shortDay(x.by.Low), s.shortDay(x.by.High)))
	}
	if parts == nil {
		return ""
	}
	return ": " + strings.Join(parts, "; ")
}

func (s *Season) dateOf(t time.Time) crop.Date { return crop.DateOf(t.In(s.AsOf.Location())) }

// shortDay leaves out the year: of a day within ten weeks everybody knows it.
func (s *Season) shortDay(t time.Time) string { return shortDate(s.dateOf(t)) }

func shortDate(d crop.Date) string { return d.Noon(time.UTC).Format("2 Jan") }

// betweenDays names a month that two days share once.
func betweenDays(low, high string) string {
	day, month, _ := strings.Cut(low, " ")
	if strings.HasSuffix(high, " "+month) {
		low = day
	}
	return low + " and " + high
}
