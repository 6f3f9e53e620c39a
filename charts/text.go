package charts

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

func whole(n int) string { return strconv.Itoa(n) }

func wholeOr(n *int, unknown string) string {
	if n == nil {
		return unknown
	}
	return strconv.Itoa(*n)
}

func number(n *int) *float64 {
	if n == nil {
		return nil
	}
	return new(float64(*n))
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// dateWords writes "3 Feb 2026".
func dateWords(d crop.Date) string { return dayText(d.Noon(time.UTC)) }

func title(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
