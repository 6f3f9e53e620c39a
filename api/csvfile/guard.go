package csvfile

import (
	"strings"
	"unicode/utf8"
)

// guard puts an apostrophe before text that a spreadsheet could run as a formula when it opens the file, and before text
// that guard itself could have made, so that unguard undoes exactly what guard did:
//
//	guard(s) = "'" + s  if s is any number of apostrophes and then a trigger; s otherwise
//	unguard(guard(s)) = s  for every s
//
// The triggers are those of OWASP's page on CSV injection: = + - @, tab, CR and LF, and the wide forms of the first four, which
// spreadsheets of East Asian languages take for the same.
func guard(s string) string {
	if triggered(strings.TrimLeft(s, "'")) {
		return "'" + s
	}
	return s
}

// unguard takes the apostrophe of guard away. Text such as 'tis is no trigger and stays as it is.
func unguard(s string) string {
	if strings.HasPrefix(s, "'") && triggered(strings.TrimLeft(s, "'")) {
		return s[1:]
	}
	return s
}

func triggered(s string) bool {
	first, _ := utf8.DecodeRuneInString(s)
	return strings.ContainsRune("=+-@\t\r\n\uff1d\uff0b\uff0d\uff20", first)
}
