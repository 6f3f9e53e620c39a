package crop

import "strings"

// NaturalCompare orders labels as people do: runs of digits by their number, so that A2 comes before A10. Labels that
// read alike (A1, A01) are ordered by their bytes.
func NaturalCompare(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		if digit(x[0]) && digit(y[0]) {
			nx, restX := number10(x)
			ny, restY := number10(y)
			if c := compareDigits(nx, ny); c != 0 {
				return c
			}
			x, y = restX, restY
			continue
		}
		if x[0] != y[0] {
			return strings.Compare(x, y)
		}
		x, y = x[1:], y[1:]
	}
	if c := len(x) - len(y); c != 0 {
		return c
	}
	return strings.Compare(a, b)
}

func digit(c byte) bool { return '0' <= c && c <= '9' }

// number10 splits the leading run of digits, without its leading zeros, from the rest.
func number10(s string) (digits, rest string) {
	end := 0
	for end < len(s) && digit(s[end]) {
		end++
	}
	return strings.TrimLeft(s[:end], "0"), s[end:]
}

func compareDigits(a, b string) int {
	if len(a) != len(b) {
		return len(a) - len(b)
	}
	return strings.Compare(a, b)
}
