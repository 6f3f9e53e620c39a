package crop

import "slices"

// UnitsOpen is the records of a plant that was loaded without the others of its unit: what is of the unit may be of any of
// them.
func (r PlantRecords) UnitsOpen() PlantRecords {
	unit := func(p Picking) bool { return p.PlantID == nil }
	unitLoss := func(l Loss) bool { return l.PlantID == nil }
	if slices.ContainsFunc(r.Pickings, unit) {
		all := r.Pickings
		r.Pickings = slices.DeleteFunc(slices.Clone(all), unit)
		r.UnitPickings = slices.DeleteFunc(slices.Clone(all), func(p Picking) bool { return !unit(p) })
	}
	if slices.ContainsFunc(r.Losses, unitLoss) {
		all := r.Losses
		r.Losses = slices.DeleteFunc(slices.Clone(all), unitLoss)
		r.UnitLosses = slices.DeleteFunc(slices.Clone(all), func(l Loss) bool { return !unitLoss(l) })
	}
	return r
}
