package crop

// Germination is one count of a seed lot: Emerged is the total so far.
type Germination struct {
	ID         ID     `json:"id"`
	SeasonID   ID     `json:"season_id"`
	CultivarID ID     `json:"cultivar_id"`
	Lot        string `json:"lot"`
	SownOn     *Date  `json:"sown_on"`
	Seeds      *int   `json:"seeds"`
	CountedOn  *Date  `json:"counted_on"`
	Emerged    *int   `json:"emerged"`
}

func (g *Germination) check(c *checker) {
	c.season("/season_id", g.SeasonID)
	c.cultivar("/cultivar_id", g.CultivarID)
	c.shortText("/lot", &g.Lot)
	c.needDay("/sown_on", g.SownOn)
	c.needDay("/counted_on", g.CountedOn)
	c.dayPast("/sown_on", g.SownOn)
	c.dayPast("/counted_on", g.CountedOn)
	if g.CountedOn != nil && g.SownOn != nil && g.CountedOn.Before(*g.SownOn) {
		c.fault("/counted_on", "is %s, before the seeds were sown, %s; mend one of the two days", g.CountedOn, g.SownOn)
	}
	c.needWhole("/seeds", g.Seeds, "number of seeds sown")
	c.needWhole("/emerged", g.Emerged, "number of seedlings up so far")
	c.wholeBetween("/seeds", g.Seeds, 1, MaxFruit, "seeds")
	c.wholeBetween("/emerged", g.Emerged, 0, MaxFruit, "seedlings")
	if g.Seeds != nil && g.Emerged != nil && *g.Emerged > *g.Seeds {
		c.fault("/emerged", "is %d, more than the seeds, %d; mend one of the two numbers", *g.Emerged, *g.Seeds)
	}
}
