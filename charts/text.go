package charts

import (
	"fmt"
	"strconv"
	"strings"
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

func title(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
