package report

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"vinetally/analytics/curve"
)

// The words and number forms of reports. Fruit is counted "1 fruit, 2 fruit", as growers do.

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// verb chooses between the singular and the plural form.
func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// fruit writes "1 fruit has" and "2 fruit have".
func fruit(n int, one, many string) string { return fmt.Sprintf("%d fruit %s", n, verb(n, one, many)) }

func plants(n int) string { return plural(n, "plant", "plants") }

// Grams writes a mass in g, or from 1 kg on in kg with three digits.
func Grams(g float64) string {
	if g >= 1000 {
		return strconv.FormatFloat(g/1000, 'f', 2, 64) + " kg"
	}
	return strconv.FormatFloat(g, 'f', 0, 64) + " g"
}

// Day writes a day: 26 October 2026.
func Day(t time.Time) string { return t.Format("2 January 2006") }

// between writes the interval of a curve's t50: 31 August to 22 September 2026.
func between(c *curve.Curve) string {
	low := c.Origin.Add(time.Duration(*c.T50.Low * float64(24*time.Hour)))
	high := c.Origin.Add(time.Duration(*c.T50.High * float64(24*time.Hour)))
	if low.Year() != high.Year() {
		return Day(low) + " to " + Day(high)
	}
	return low.Format("2 January") + " to " + Day(high)
}

// Clock writes a moment with its zone: 26 October 2026, 20:30 WET. Of the zero time, where nothing was recorded, it writes
// nothing.
func Clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2 January 2006, 15:04 MST")
}

// Days writes a number of days with one decimal, without a needless .0.
func Days(x float64) string {
	return strings.TrimSuffix(strconv.FormatFloat(x, 'f', 1, 64), ".0")
}

// join lists things: a, b and c. Beyond limit it says how many more.
func join(parts []string, limit int) string {
	if limit > 0 && len(parts) > limit {
		rest := len(parts) - limit
		return strings.Join(parts[:limit], ", ") + fmt.Sprintf(" and %d more", rest)
	}
	switch len(parts) {
	case 0:
		return ""
	case 1:
		return parts[0]
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}
