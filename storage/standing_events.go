package storage

import (
	"slices"

	"vinetally/analytics/crop"
)

// events is what was counted, picked and lost of one plant, and of units of its cultivar in its season, in no order and with
// moments in any zone.
type events struct {
	visits   []crop.Visit
	pickings []crop.Picking
	losses   []crop.Loss
}

func (e *events) len() int { return len(e.visits) + len(e.pickings) + len(e.losses) }

// copyTo gives a trial copies, which it may put into order and into zones.
func (e *events) copyTo(t *crop.Trial) {
	t.Visits, t.Pickings, t.Losses = slices.Clone(e.visits), slices.Clone(e.pickings), slices.Clone(e.losses)
}

// plantEvents are the events of plants, as part of what stands.
type plantEvents struct {
	of    map[crop.ID]*events
	total int // of all
}

// mostEvents is how many events are kept, some 30 MB; beyond it they are loaded anew.
const mostEvents = 100_000

func (p *plantEvents) forget() { *p = plantEvents{of: map[crop.ID]*events{}} }

// keep notes the events of a plant that were loaded.
func (p *plantEvents) keep(plant crop.ID, e *events) {
	p.drop(plant)
	if p.total+e.len() > mostEvents {
		p.forget()
	}
	p.of[plant] = e
	p.total += e.len()
}

func (p *plantEvents) drop(plant crop.ID) {
	if e := p.of[plant]; e != nil {
		p.total -= e.len()
		delete(p.of, plant)
	}
}

// written takes in what a batch wrote. A new event of a plant joins the others; whatever else could make a difference to a
// plant's events drops them: an edit or a deletion, an edit of the plant (whose season and cultivar say which units it is of), an
// event of a unit, and an edit of a place (whose zone says when a day alone begins).
func (p *plantEvents) written(e *entry) {
	switch e.kind {
	case crop.Plants:
		p.drop(e.id)
	case crop.Places:
		if e.stored != nil {
			p.forget()
		}
	case crop.Visits, crop.Pickings, crop.Losses:
		if e.stored != nil {
			p.edited(e.stored.record)
		}
		switch {
		case !e.exists():
		case e.stored != nil:
			p.edited(e.top.record)
		default:
			p.added(e.top.record)
		}
	}
}

func (p *plantEvents) edited(r crop.Record) {
	if plant := plantOf(r); !plant.IsZero() {
		p.drop(plant)
		return
	}
	p.forget()
}

func (p *plantEvents) added(r crop.Record) {
	plant := plantOf(r)
	if plant.IsZero() {
		p.forget()
		return
	}
	e := p.of[plant]
	if e == nil {
		return
	}
	switch r := r.(type) {
	case *crop.Visit:
		e.visits = append(e.visits, *r)
	case *crop.Picking:
		e.pickings = append(e.pickings, *r)
	case *crop.Loss:
		e.losses = append(e.losses, *r)
	}
	p.total++
}
