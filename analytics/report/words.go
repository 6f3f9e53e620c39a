package report

import (
	"fmt"
	"strings"
	"time"

	"vinetally/analytics/crop"
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

// Clock writes a moment with its zone: 26 Oct 2026, 20:30 WET. Of the zero time, where nothing was recorded, it writes
// nothing.
func Clock(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return crop.ClockWords(t) + t.Format(" MST")
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
