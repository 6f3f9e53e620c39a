package forecast

import (
	"fmt"

	"vinetally/analytics/ripening"
)

// mostNamed is how many plants a warning names.
const mostNamed = 5

// leftOut says which plants stand and aren't in a forecast of others, and why.
func leftOut(m *ripening.Model) []string {
	var uncounted, silent []string
	for _, p := range m.Plants {
		switch {
		case p.Book.Removed || p.Records.SeasonOver:
		case p.Visits == 0:
			uncounted = append(uncounted, p.Label)
		case p.Silent:
			silent = append(silent, p.Label)
		}
	}
	var words []string
	if len(uncounted) > 0 {
		words = append(words, "Not in the forecast, because never counted: "+named(uncounted)+".")
	}
	if len(silent) > 0 {
		words = append(words, fmt.Sprintf("Not in the forecast, because for more than %d days nothing was recorded of it: %s.", ripening.LongestSilence, named(silent)))
	}
	return words
}

// named lists names, the first few of many.
func named(names []string) string {
	if more := len(names) - mostNamed; more > 1 {
		return list(append(names[:mostNamed:mostNamed], fmt.Sprintf("%d more", more)))
	}
	return list(names)
}
