package crop

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// Text is a text as it is kept: in normalisation form C of Unicode (UAX #15), so that texts which are canonically the same, such
// as é written as one character and as two, are the same.
func Text(s string) string { return norm.NFC.String(s) }

// Name is a name, or another text of one line, as it is kept: as Text, without spaces around it, among which are those that
// don't break and those without a width.
func Name(s string) string { return Text(strings.TrimFunc(s, blank)) }

func blank(r rune) bool {
	switch r {
	case '\u200b', '\u2060', '\ufeff': // zero width space, word joiner, zero width no-break space (byte order mark)
		return true
	}
	return unicode.IsSpace(r)
}
