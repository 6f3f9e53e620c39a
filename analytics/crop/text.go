package crop

import (
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Text is a text as it is kept: in normalisation form C of Unicode (UAX #15), so that texts which are canonically the same, such
// as é written as one character and as two, are the same.
func Text(s string) string { return norm.NFC.String(s) }

// Name is a name, or another text of one line, as it is kept: as Text, without spaces around it, and so that no two names differ
// by what nobody sees. Spaces of any width, and those that don't break, are plain spaces; what only says where a line may break
// is left out. The joiners of Arabic and Indic scripts stay, since letters look otherwise without them.
func Name(s string) string {
	if strings.ContainsFunc(s, func(r rune) bool { return r >= utf8.RuneSelf }) {
		s = Text(plainSpaces.Replace(s))
	}
	return strings.TrimSpace(s)
}

// plainSpaces makes a space of each character of the category Zs (UnicodeData.txt), and drops the soft hyphen, the zero width
// space, the word joiner and the byte order mark.
var plainSpaces = strings.NewReplacer("\u00ad", "", "\u200b", "", "\u2060", "", "\ufeff", "",
	"\u00a0", " ", "\u1680", " ", "\u2000", " ", "\u2001", " ", "\u2002", " ", "\u2003", " ", "\u2004", " ", "\u2005", " ",
	"\u2006", " ", "\u2007", " ", "\u2008", " ", "\u2009", " ", "\u200a", " ", "\u202f", " ", "\u205f", " ", "\u3000", " ")
