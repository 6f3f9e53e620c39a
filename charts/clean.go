package charts

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// clean makes a text harmless to its surroundings without hiding that something was there. Line breaks and tabs become
// spaces; other control characters, bytes that are not UTF-8 and the characters that embed, override or isolate a
// reading direction become U+FFFD, because left unclosed they turn round the words that follow (Unicode Standard Annex
// 9, section 2). The direction marks U+200E and U+200F reach no further than themselves and stay. Escaping is not
// done here: that is the template's and the JSON encoder's work.
func clean(s string) string {
	if !needsCleaning(s) {
		return s
	}
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\r' || r == '\t' || r == '\u2028' || r == '\u2029' || r == '\u0085':
			return ' '
		case unicode.IsControl(r), turnsDirection(r):
			return utf8.RuneError
		}
		return r
	}, s)
}

func needsCleaning(s string) bool {
	for _, r := range s {
		if unicode.IsControl(r) || turnsDirection(r) || r == '\u2028' || r == '\u2029' || r == utf8.RuneError {
			return true
		}
	}
	return false
}

func turnsDirection(r rune) bool {
	return r >= '\u202a' && r <= '\u202e' || r >= '\u2066' && r <= '\u2069'
}

func cleanAll(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = clean(s)
	}
	return out
}
