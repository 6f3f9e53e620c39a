package crop

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// pointer joins JSON pointer parts, escaping as RFC 6901 says.
func pointer(parts ...any) string {
	var b strings.Builder
	for _, p := range parts {
		b.WriteByte('/')
		s := fmt.Sprint(p)
		b.WriteString(strings.ReplaceAll(strings.ReplaceAll(s, "~", "~0"), "/", "~1"))
	}
	return b.String()
}

// quoted is text as it was sent, in quotes and cut short.
func quoted(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) <= most {
		return strconv.Quote(s)
	}
	return strconv.Quote(string([]rune(s)[:most])) + "…"
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

func list[S ~string](names []S) string {
	parts := make([]string, len(names))
	for i, n := range names {
		parts[i] = string(n)
	}
	return strings.Join(parts, ", ")
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
