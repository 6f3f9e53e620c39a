package curve

import (
	"fmt"
	"math"
)

// earlyShare is the share of picked fruit taken before a stage above which its curve carries a warning: such fruit never
// reached it, and the curve then shows the habit of picking as much as the ripening.
const earlyShare = 0.10

// startGap is how many days the plants of a pooled curve may differ in their first day before a warning.
const startGap = 3

// warnings are what a reader of the curve must know, in fixed order.
func warnings(members []plantBook, origin plantBook, stage int) []string {
	var out []string
	scale := members[0].records.Scale
	picked, early := 0, 0
	for _, m := range members {
		for _, p := range m.records.Pickings {
			at := scale.Index(p.Stage)
			if p.Fruits == nil || at < 0 {
				continue
			}
			picked += *p.Fruits
			if at < stage {
				early += *p.Fruits
			}
		}
	}
	if float64(early) > earlyShare*float64(picked) {
		out = append(out, fmt.Sprintf("%d of %d picked fruit (%.0f %%) were taken before %s and never reached it, so the curve shows the picking as much as the ripening.",
			early, picked, math.Round(100*float64(early)/float64(picked)), // halves up, as reports round
			scale.Stages[stage].Name))
	}
	latest := 0.0
	for _, m := range members {
		latest = max(latest, daysBetween(origin.origin, m.origin))
	}
	if latest > startGap {
		out = append(out, fmt.Sprintf("The plants' first days lie up to %.0f days apart; the curve goes by the date, counted from the first.", math.Round(latest)))
	}
	return out
}

// leftOut says how many counts a curve doesn't use.
func leftOut(n int) string {
	words := "One count is left out of the curve: it contradicts"
	if n > 1 {
		words = fmt.Sprintf("%d counts are left out of the curve: they contradict", n)
	}
	return words + " the others by more than a miscount explains, and fruit never goes back a stage. Look at the records."
}
