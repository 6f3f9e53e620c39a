package curve

import (
	"fmt"
)

// unripeShare is the share of picked fruit taken before ripe above which a curve of the ripe stage carries a warning: such
// fruit never reached ripe, and the curve then shows the habit of picking as much as the ripening.
const unripeShare = 0.10

// sowingGap is how many days the plants of a pooled curve may differ in their first day before a warning.
const sowingGap = 3

// warnings are what a reader of the curve must know, in fixed order.
func warnings(members []plantBook, origin plantBook, stage int) []string {
	var out []string
	scale := members[0].records.Scale
	if stage >= scale.Ripe() {
		picked, early := 0, 0
		for _, m := range members {
			for _, p := range m.records.Pickings {
				if p.Fruits == nil {
					continue
				}
				picked += *p.Fruits
				if scale.Index(p.Stage) < scale.Ripe() {
					early += *p.Fruits
				}
			}
		}
		if picked > 0 && float64(early) > unripeShare*float64(picked) {
			out = append(out, fmt.Sprintf("%d of %d picked fruit (%.0f %%) were taken before %s and never reached it, so the curve shows the picking as much as the ripening.",
				early, picked, 100*float64(early)/float64(picked), scale.RipeStage))
		}
	}
	latest := 0.0
	for _, m := range members {
		latest = max(latest, daysBetween(origin.origin, m.origin))
	}
	if latest > sowingGap {
		out = append(out, fmt.Sprintf("The plants were not sown on one day but up to %.0f days apart; the curve goes by the date, counted from the first.", latest))
	}
	return out
}
