package curve

import (
	"errors"
	"fmt"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/estimate"
	"vinetally/analytics/ledger"
)

// The least that a curve needs: rounds with an exact count (three more than the three parameters, so that AICc is
// defined), and fruit that reached the stage. The fruit are a judgement: with eight, t50 of a flush that takes three weeks
// is known to about a week.
const (
	minRounds = 6
	minFruits = 8
)

// tooLittle refuses what can't carry a curve before anything is fitted.
func tooLittle(s series, stage string) (string, bool) {
	rounds, fruits := len(s.means()), s.fruits()
	switch {
	case rounds < minRounds:
		return fmt.Sprintf("%s how many fruit had reached %s; a curve needs %d. Counts of every stage from %s on tell it.",
			phraseRounds(rounds), stage, minRounds, stage), true
	case fruits < minFruits:
		return fmt.Sprintf("%s reached %s so far; a curve needs %d.", phraseFruit(fruits), stage, minFruits), true
	}
	return "", false
}

func phraseRounds(n int) string {
	switch n {
	case 0:
		return "No count tells"
	case 1:
		return "Only one round of counting tells"
	}
	return fmt.Sprintf("Only %d rounds of counting tell", n)
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

// What a curve and its t90 need of the end of the counts. Where fruit still reached the stage at half of the fastest rate,
// the level is a guess of the assumed shape, and so are the shares of it: in simulated trials cut short (unfinished_test.go)
// up to 19 % of all trials then gave a t50 whose interval missed the truth. With these limits at most 10 % do, of t50 as of
// t90; the others are refused or right.
const (
	minReached     = 0.7 // of its own level, by the fitted curve
	maxSlowing     = 0.5 // of the fastest rate
	maxSlowingOf90 = 0.25
)

// unfinished tells whether fruit still reached the stage so fast at the last counts that the level isn't seen.
func (f *fitted) unfinished() bool {
	return !(f.value(f.last().x) >= minReached*f.level() && f.left.slowing() < maxSlowing)
}

// risingReason says that the level isn't seen, and what can still be done about it: once the plants are gone or the season
// is past, nothing.
func (o *outlook) risingReason(stage string) string {
	if o.ended {
		return fmt.Sprintf("The number that reached %s was still rising at the last count, on %s, and nothing is left to count, so where it would have levelled off isn't known.",
			stage, o.last.Words())
	}
	return fmt.Sprintf("The number that reached %s was still rising at the last count, and the counts don't show where it will level off; go on counting until it slows down.", stage)
}

// outlook tells whether more counts of some plants can come.
type outlook struct {
	last  crop.Date // the day of their last count
	ended bool      // all are removed, or their season is past
}

func outlookOf(members []plantBook) *outlook {
	o := &outlook{ended: true}
	for _, m := range members {
		o.ended = o.ended && (m.book.Removed || m.records.SeasonOver)
		if n := len(m.book.Visits); n > 0 {
			if day := m.book.Visits[n-1].CountedAt.LocalDate(); day.After(o.last) {
				o.last = day
			}
		}
	}
	return o
}

// falling tells whether the curve goes down. Fruit never goes back a stage, so the records are wrong then.
func (f *fitted) falling() bool { return f.fastest() <= 0 }

func fallingReason(stage string) string {
	return fmt.Sprintf("The number that reached %s goes down from count to count, and fruit never goes back; look at what the ledger misses before fitting a curve.", stage)
}

// erratic tells whether the numbers of the plants fall, by what a miscount doesn't explain and all falls added up, by more
// than the highest they come to. A curve through such numbers would say nothing.
func (s series) erratic() bool {
	last, top := make([]float64, s.plants), make([]float64, s.plants)
	falls, tops := 0.0, 0.0
	for _, o := range s.obs {
		before := last[o.plant]
		falls += max(0, before-o.reached-float64(ledger.Allowance(int(before), int(o.reached))))
		last[o.plant], top[o.plant] = o.reached, max(top[o.plant], o.reached)
	}
	for _, t := range top {
		tops += t
	}
	return falls > tops
}

func erraticReason(stage string) string {
	return fmt.Sprintf("The number that reached %s goes up and down from count to count, and fruit never goes back; look at what the ledger misses before fitting a curve.", stage)
}

// reason turns an error of the fit into the grower's words.
func (o *outlook) reason(err error, points []mean, stage string) (crop.Code, string) {
	if few, ok := errors.AsType[*estimate.TooFew](err); ok {
		return crop.InsufficientData, fmt.Sprintf("A curve of %s needs %d %s; there are %d.", stage, few.Need, few.What, few.Have)
	}
	no, ok := errors.AsType[*estimate.NoFit](err)
	if !ok {
		return crop.NoFit, fmt.Sprintf("No curve of %s could be fitted: %s.", stage, err)
	}
	if from, to, sudden := leap(points); sudden {
		return crop.InsufficientData, leapWords(stage, from, to)
	}
	switch rise := netRise(points); {
	case rise < -leastRise:
		return crop.NoFit, fallingReason(stage)
	case rise < leastRise, no.Name == estimate.CheckStructure:
		return crop.NoFit, hardlyRises(stage)
	case strings.HasPrefix(no.Name, estimate.CheckLimit):
		return crop.InsufficientData, o.risingReason(stage)
	}
	more := "more counts while fruit reaches %s would tell them apart"
	if o.ended {
		more = "more counts while fruit reached %s would have told them apart"
	}
	return crop.NoFit, fmt.Sprintf("The counts of %s can be described by curves that differ widely, so none is given; "+more+".", stage, stage)
}

func hardlyRises(stage string) string {
	return fmt.Sprintf("The number that reached %s hardly rises from count to count, so there is no curve in it.", stage)
}

// leastRise is the share of the highest number by which the last is above the first where counts that carry no curve are
// said to rise; it chooses between sentences only.
const leastRise = 0.2

func netRise(points []mean) float64 {
	top := 0.0
	for _, p := range points {
		top = max(top, p.value)
	}
	return (points[len(points)-1].value - points[0].value) / top
}

func leapWords(stage string, from, to mean) string {
	return fmt.Sprintf("Nearly all fruit reached %s between the counts of %s and %s; how the number rose in between nobody saw, so there is no curve.",
		stage, crop.DayWords(from.at), crop.DayWords(to.at))
}

// leap tells whether at least nine tenths of the fruit came between two neighbouring rounds.
func leap(points []mean) (from, to mean, sudden bool) {
	top := 0.0
	for _, p := range points {
		top = max(top, p.value)
	}
	for i, p := range points[1:] {
		if p.value-points[i].value >= 0.9*top {
			return points[i], p, true
		}
	}
	return mean{}, mean{}, false
}
