package curve

import (
	"errors"
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/estimate"
)

// The least that a curve needs: days with an exact count (three more than the three parameters, so that AICc is defined),
// and fruit that reached the stage. The fruit are a judgement: with eight, t50 of a flush that takes three weeks is known
// to about a week.
const (
	minDays   = 6
	minFruits = 8
)

// tooLittle refuses what can't carry a curve before anything is fitted.
func tooLittle(s series, stage string) (string, bool) {
	days, fruits := len(s.means()), s.fruits()
	switch {
	case days < minDays:
		return fmt.Sprintf("%s how many fruit had reached %s; a curve needs %d. Counts of every stage from %s on tell it.",
			phraseDays(days), stage, minDays, stage), true
	case fruits < minFruits:
		return fmt.Sprintf("%s reached %s so far; a curve needs %d.", phraseFruit(fruits), stage, minFruits), true
	}
	return "", false
}

func phraseDays(n int) string {
	switch n {
	case 0:
		return "No count tells"
	case 1:
		return "Counts of only one day tell"
	}
	return fmt.Sprintf("Counts of only %d days tell", n)
}

func phraseFruit(n int) string {
	switch n {
	case 0:
		return "No fruit is known to have"
	case 1:
		return "Only one fruit is known to have"
	}
	return fmt.Sprintf("Only %d fruit are known to have", n)
}

// unfinished refuses a fit whose level is a guess: where the last count stands below a share of it, the level comes from
// the assumed shape and not from the records.
func (f *fitted) unfinished(stage string) (string, bool) {
	reached := f.value(f.last().x) / f.level()
	if reached >= minReached {
		return "", false
	}
	return fmt.Sprintf("The number that reached %s was still rising at the last count, and the counts don't show where it will level off; go on counting until it slows down.", stage), true
}

// minReached is the share of its own level that a curve must have come to by the last count.
const minReached = 0.7

// reason turns an error of the fit into the grower's words.
func reason(err error, stage string) (crop.Code, string) {
	if few, ok := errors.AsType[*estimate.TooFew](err); ok {
		return crop.InsufficientData, fmt.Sprintf("A curve of %s needs %d %s; there are %d.", stage, few.Need, few.What, few.Have)
	}
	if no, ok := errors.AsType[*estimate.NoFit](err); ok {
		return crop.NoFit, fmt.Sprintf("The counts of %s don't carry a curve that rises and levels off: %s.", stage, no.Detail)
	}
	return crop.NoFit, fmt.Sprintf("No curve of %s could be fitted: %s.", stage, err)
}
