package charts

import "regexp"

// dates are what a cell of a table isn't broken within, 3 Feb 2026, nor intervals of numbers in brackets, (291 – 311), nor signs before a number,
// ≈ 301; other ranges, 3 – 8, are broken after their dash.
var (
	dates     = regexp.MustCompile(`(\d{1,2}) (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b(?: (\d{4}))?`)
	intervals = regexp.MustCompile(`\(([\d.]+) – ([\d.]+)\)`)
	signs     = regexp.MustCompile(`([≈≥≤]) (\d)`)
	ranges    = regexp.MustCompile(`([\d\pL]) – (\d)`)
)

// bound puts no-break spaces into the dates and ranges of a cell, so that narrow columns break where it reads best.
func bound(text string) string {
	const space = "\u00a0"
	const joined = "–\u2060" // a line may end after a dash even before a no-break space (Unicode Standard Annex 14, rule LB12a)
	text = dates.ReplaceAllStringFunc(text, func(day string) string {
		m := dates.FindStringSubmatch(day)
		if m[3] == "" {
			return m[1] + space + m[2]
		}
		return m[1] + space + m[2] + space + m[3]
	})
	text = intervals.ReplaceAllString(text, "(${1}"+space+joined+space+"${2})")
	text = signs.ReplaceAllString(text, "${1}"+space+"${2}")
	return ranges.ReplaceAllString(text, "${1}"+space+"– ${2}")
}
