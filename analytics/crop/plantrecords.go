package crop

import "slices"

// PlantRecords is what was recorded of one plant, each list in the order of time.
type PlantRecords struct {
	Plant    *Plant
	Cultivar *Cultivar
	Scale    *Scale
	Visits   []Visit
	Pickings []Picking
	Losses   []Loss
	// UnitPickings and UnitLosses were taken from the plant's cultivar at its place without saying from which plant:
	// each may be from this plant, wholly, in part or not at all.
	UnitPickings []Picking
	UnitLosses   []Loss
	// SeasonOver tells that the season's last day is past (see Trial.Over), so nothing more will be counted or picked.
	SeasonOver bool
}

// ByPlant returns the records of every plant, in the order of Plants. The trial must be arranged.
func (t *Trial) ByPlant() []PlantRecords {
	all := make([]PlantRecords, len(t.Plants))
	position := make(map[ID]int, len(t.Plants))
	over := t.Over()
	for i := range t.Plants {
		p := &t.Plants[i]
		position[p.ID] = i
		all[i].SeasonOver = over
		all[i].Plant = p
		all[i].Cultivar, _ = t.Cultivar(p.CultivarID)
		all[i].Scale, _ = ScaleOf(t, p.CultivarID)
	}
	visits := make([]int, len(t.Plants)) // of each plant, so that its list is made once
	for i := range t.Visits {
		if at, ok := position[t.Visits[i].PlantID]; ok {
			visits[at]++
		}
	}
	for at, n := range visits {
		all[at].Visits = slices.Grow(all[at].Visits, n)
	}
	for i := range t.Visits {
		if at, ok := position[t.Visits[i].PlantID]; ok {
			all[at].Visits = append(all[at].Visits, t.Visits[i])
		}
	}
	for _, pick := range t.Pickings {
		t.attribute(pick.PlantID, &pick.Unit, pick.PickedAt, position, func(at int, sure bool) {
			if sure {
				all[at].Pickings = append(all[at].Pickings, pick)
			} else {
				all[at].UnitPickings = append(all[at].UnitPickings, pick)
			}
		})
	}
	for _, loss := range t.Losses {
		t.attribute(loss.PlantID, &loss.Unit, loss.LostAt, position, func(at int, sure bool) {
			if sure {
				all[at].Losses = append(all[at].Losses, loss)
			} else {
				all[at].UnitLosses = append(all[at].UnitLosses, loss)
			}
		})
	}
	return all
}

// Through returns the records of days up to and including one; the plant is the one that is known now. The lists of the receiver
// stay as they are.
func (r *PlantRecords) Through(day Date) PlantRecords {
	by := func(m Moment) bool { return !m.LocalDate().After(day) }
	pickings := func(all []Picking) []Picking { return keep(all, func(p *Picking) bool { return by(p.PickedAt) }) }
	losses := func(all []Loss) []Loss { return keep(all, func(l *Loss) bool { return by(l.LostAt) }) }
	q := *r
	q.Visits = keep(r.Visits, func(v *Visit) bool { return by(v.CountedAt) })
	q.Pickings, q.UnitPickings = pickings(r.Pickings), pickings(r.UnitPickings)
	q.Losses, q.UnitLosses = losses(r.Losses), losses(r.UnitLosses)
	return q
}

// attribute calls found with the plant that a record is of, or with every plant that it may be of. A unit with a single
// plant leaves no doubt.
func (t *Trial) attribute(plant *ID, u *Unit, at Moment, position map[ID]int, found func(at int, sure bool)) {
	if plant != nil {
		if i, ok := position[*plant]; ok {
			found(i, true)
		}
		return
	}
	candidates := t.ofUnit(u, at)
	for _, i := range candidates {
		found(i, len(candidates) == 1)
	}
}

// PlantOf returns the plant that a picking or loss is surely of: the one that it names, or the single plant of its unit then.
func (t *Trial) PlantOf(plant *ID, u *Unit, at Moment) (ID, bool) {
	if plant != nil {
		return *plant, true
	}
	candidates := t.ofUnit(u, at)
	if len(candidates) != 1 {
		return ID{}, false
	}
	return t.Plants[candidates[0]].ID, true
}

// ofUnit are the positions of the plants of a unit at a moment.
func (t *Trial) ofUnit(u *Unit, at Moment) (candidates []int) {
	if u.PlaceID == nil || u.CultivarID == nil {
		return nil
	}
	day := at.LocalDate()
	for i := range t.Plants {
		p := &t.Plants[i]
		if p.CultivarID != *u.CultivarID || p.PlaceOn(day) != *u.PlaceID {
			continue
		}
		if since := p.Since(); since != nil && since.After(day) || p.RemovedOn != nil && p.RemovedOn.Before(day) {
			continue
		}
		candidates = append(candidates, i)
	}
	return candidates
}
