package charts

import (
	"math"
	"strconv"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// wallMillis is the axis position of an instant: the milliseconds of its wall clock read as if it were UTC. The charts
// are drawn with UTC time, so a page shows the place's own time wherever it is opened.
func wallMillis(t time.Time) int64 {
	y, mo, d := t.Date()
	h, mi, s := t.Clock()
	return time.Date(y, mo, d, h, mi, s, t.Nanosecond(), time.UTC).UnixMilli()
}

// momentText writes "3 Feb 2026, 08:15", and the day alone at exactly noon, which is where records without a time stand.
func momentText(t time.Time) string {
	if h, m, s := t.Clock(); h == 12 && m == 0 && s == 0 {
		return crop.DayWords(t)
	}
	return crop.ClockWords(t)
}

// spanText writes the months that a chart covers: "Nov 2025 – Feb 2026".
func spanText(first, last time.Time) string {
	switch {
	case first.Year() != last.Year():
		return first.Format("Jan 2006") + " – " + last.Format("Jan 2006")
	case first.Month() != last.Month():
		return first.Format("Jan") + " – " + last.Format("Jan 2006")
	}
	return first.Format("Jan 2006")
}

// numberText writes a number with at most four significant digits after rounding (whole numbers in full), no exponent,
// and a narrow no-break space between groups of three from 10 000 on (ISO 80000-1, 7.3.1 asks for a space).
func numberText(v float64) string {
	if math.Abs(v) >= 1000 || v == math.Trunc(v) {
		v = math.Round(v)
	} else if v != 0 {
		scale := math.Pow(10, 3-math.Floor(math.Log10(math.Abs(v))))
		v = math.Round(v*scale) / scale
	}
	s := strconv.FormatFloat(v, 'f', -1, 64)
	whole, fraction, _ := strings.Cut(strings.TrimPrefix(s, "-"), ".")
	if len(whole) > 4 {
		var b strings.Builder
		for i, digit := range whole {
			if i > 0 && (len(whole)-i)%3 == 0 {
				b.WriteRune('\u202f')
			}
			b.WriteRune(digit)
		}
		whole = b.String()
	}
	if fraction != "" {
		whole += "." + fraction
	}
	if v < 0 {
		whole = "−" + whole
	}
	return whole
}

// amountText writes a number with its unit.
func amountText(v float64, unit string) string {
	if unit == "" {
		return numberText(v)
	}
	return numberText(v) + " " + unit
}
