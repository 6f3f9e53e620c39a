package crop

import "slices"

// Plant is the unit that is observed.
type Plant struct {
	ID         ID     `json:"id"`
	SeasonID   ID     `json:"season_id"`
	PlaceID    ID     `json:"place_id"` // where it stood first; Moves say where it went
	CultivarID ID     `json:"cultivar_id"`
	Label      string `json:"label"`
	// SownOn may be nil for a bought seedling; then TransplantedOn is given.
	SownOn         *Date `json:"sown_on"`
	TransplantedOn *Date `json:"transplanted_on"`
	RemovedOn      *Date `json:"removed_on"`
	// OriginID is the plant of the same sowing spot that this one was separated from.
	OriginID *ID    `json:"origin_id"`
	Lot      string `json:"lot"`
	Moves    []Move `json:"moves"` // by date
	Note     string `json:"note"`
}

// Move is a change of place; from the start of that day the plant stands at PlaceID.
type Move struct {
	PlaceID ID   `json:"place_id"`
	On      Date `json:"on"`
}

// PlaceOn returns where the plant stood on a day.
func (p *Plant) PlaceOn(day Date) ID {
	place := p.PlaceID
	for _, m := range p.Moves {
		if m.On.After(day) {
			break
		}
		place = m.PlaceID
	}
	return place
}

// Since returns the first day of the plant: its sowing, or its transplanting where no sowing date is known.
func (p *Plant) Since() *Date {
	if p.SownOn != nil {
		return p.SownOn
	}
	return p.TransplantedOn
}

// began says what happened on the day that Since gives.
func (p *Plant) began() string {
	if p.SownOn != nil {
		return "sown"
	}
	return "transplanted"
}

func (p *Plant) check(c *checker) {
	c.name("/label", &p.Label)
	c.text("/note", &p.Note)
	c.shortText("/lot", &p.Lot)
	c.season("/season_id", p.SeasonID)
	c.place("/place_id", p.PlaceID)
	c.cultivar("/cultivar_id", p.CultivarID)
	if p.SownOn == nil && p.TransplantedOn == nil {
		c.fault("/sown_on", "is missing; give the sowing date, or transplanted_on for a plant whose sowing date isn't known")
	}
	c.dayPast("/sown_on", p.SownOn)
	c.dayPast("/transplanted_on", p.TransplantedOn)
	c.dayPast("/removed_on", p.RemovedOn)
	c.dayOrder("/transplanted_on", p.TransplantedOn, p.SownOn, "sown")
	c.dayOrder("/removed_on", p.RemovedOn, p.SownOn, "sown")
	c.dayOrder("/removed_on", p.RemovedOn, p.TransplantedOn, "transplanted")
	p.checkOrigin(c)
	p.checkMoves(c)
}

func (p *Plant) checkOrigin(c *checker) {
	if p.OriginID == nil {
		return
	}
	if *p.OriginID == p.ID {
		c.fault("/origin_id", "is the plant's own id; name the plant it was separated from")
		return
	}
	origin, ok := c.refs.Plant(*p.OriginID)
	if !ok {
		c.missing("/origin_id", "plant", *p.OriginID)
	} else if origin.SeasonID != p.SeasonID {
		c.fault("/origin_id", "is the plant %s, which belongs to another season; name a plant of the same one", quoted(origin.Label))
	}
}

func (p *Plant) checkMoves(c *checker) {
	days := map[Date]bool{}
	for i, m := range p.Moves {
		c.place(pointer("moves", i, "place_id"), m.PlaceID)
		at := pointer("moves", i, "on")
		if m.On.IsZero() {
			c.fault(at, "is missing; give the day of the move as YYYY-MM-DD")
			continue
		}
		c.dayPast(at, &m.On)
		c.dayOrder(at, &m.On, p.Since(), p.began())
		if p.RemovedOn != nil && m.On.After(*p.RemovedOn) {
			c.fault(at, "is %s, after the plant was removed, %s; mend one of the two days", m.On, p.RemovedOn)
		}
		if days[m.On] {
			c.fault(at, "is %s, the day of another move; keep the one that counts", m.On)
		}
		days[m.On] = true
	}
	slices.SortStableFunc(p.Moves, func(a, b Move) int { return a.On.Compare(b.On) })
}
