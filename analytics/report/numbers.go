package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Rounded writes a number with so many decimals, halves away from zero: 48.5 is 49, 37.25 is 37.3. It is the one rule of
// rounding of reports, in sentences, tables and charts alike, and the one that growers use. strconv rounds halves to even,
// so that a sentence could say 48 where its table says 49.
func Rounded(x float64, decimals int) string {
	scale := math.Pow10(decimals)
	r := math.Round(x*scale) / scale
	if r == 0 {
		r = 0 // not -0
	}
	return strconv.FormatFloat(r, 'f', decimals, 64)
}

// Expected writes an expected number of fruit with its interval.
func Expected(mean, low, high float64) string {
	return fmt.Sprintf("%s (%s – %s)", About(mean), Rounded(low, 0), Rounded(high, 0))
}

// About writes an expected number of fruit: in whole fruit, below one to a tenth. More digits would tell what no forecast knows.
func About(mean float64) string {
	if text := Rounded(mean, 1); mean < 0.95 && text != "0.0" {
		return text
	}
	return Rounded(mean, 0)
}

// Grams writes a mass in whole grams, or from 1 kg on in kg with two decimals.
func Grams(g float64) string {
	if math.Round(g) >= 1000 {
		return Rounded(g/1000, 2) + " kg"
	}
	return Rounded(g, 0) + " g"
}

// Days writes a number of days with one decimal, without a needless .0.
func Days(x float64) string {
	return strings.TrimSuffix(Rounded(x, 1), ".0")
}
