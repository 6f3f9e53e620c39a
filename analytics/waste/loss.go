package waste

import (
	"slices"

	"vinetally/analytics/crop"
)

// Loss is fruit lost by one cause.
type Loss struct {
	Cause        crop.Cause
	Ripe, Unripe int
}

// lossOf is a loss of counted fruit as one of its cause, ripe where it had come to the ripe stage or beyond.
func lossOf(l *crop.Loss, scale *crop.Scale) Loss {
	if scale.Index(l.Stage) >= scale.Ripe() {
		return Loss{Cause: l.Cause, Ripe: *l.Fruits}
	}
	return Loss{Cause: l.Cause, Unripe: *l.Fruits}
}

// addLoss adds a loss to those of its cause, and keeps the causes in the order of crop.Causes.
func addLoss(all []Loss, one Loss) []Loss {
	rank := func(c crop.Cause) int { return slices.Index(crop.Causes(), c) }
	for i := range all {
		if all[i].Cause == one.Cause {
			all[i].Ripe += one.Ripe
			all[i].Unripe += one.Unripe
			return all
		}
		if rank(all[i].Cause) > rank(one.Cause) {
			return slices.Insert(all, i, one)
		}
	}
	return append(all, one)
}

// wasteful tells whether fruit of a cause was lost to no use: thinned and cleared fruit are the grower's own doing.
func wasteful(c crop.Cause) bool { return c.Found() }
