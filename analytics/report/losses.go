package report

import "vinetally/analytics/crop"

// CauseLoss is the fruit lost by one cause.
type CauseLoss struct {
	Cause        crop.Cause
	Ripe, Unripe int // at the loss: at or beyond the ripe stage, or before it
}

// losses sums losses by cause, in the order of crop.Causes, only those that occurred.
func losses(t *crop.Trial) []CauseLoss {
	by := map[crop.Cause]*CauseLoss{}
	for i := range t.Losses {
		l := &t.Losses[i]
		cultivar := l.CultivarID
		if l.PlantID != nil {
			if p, ok := t.Plant(*l.PlantID); ok {
				cultivar = &p.CultivarID
			}
		}
		if cultivar == nil || l.Fruits == nil {
			continue
		}
		scale, ok := crop.ScaleOf(t, *cultivar)
		if !ok {
			continue
		}
		c := by[l.Cause]
		if c == nil {
			c = &CauseLoss{Cause: l.Cause}
			by[l.Cause] = c
		}
		if scale.Index(l.Stage) >= scale.Ripe() {
			c.Ripe += *l.Fruits
		} else {
			c.Unripe += *l.Fruits
		}
	}
	var out []CauseLoss
	for _, cause := range crop.Causes() {
		if c := by[cause]; c != nil && c.Ripe+c.Unripe > 0 {
			out = append(out, *c)
		}
	}
	return out
}
