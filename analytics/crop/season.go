package crop

// Season is one crop cycle at a site.
type Season struct {
	ID       ID     `json:"id"`
	Name     string `json:"name"`
	FirstDay *Date  `json:"first_day"`
	LastDay  *Date  `json:"last_day"`
}

func (s *Season) check(c *checker) {
	c.name("/name", &s.Name)
	if s.FirstDay != nil && s.LastDay != nil && s.LastDay.Before(*s.FirstDay) {
		c.fault("/last_day", "is %s, before the first day, %s; mend one of the two days", s.LastDay, s.FirstDay)
	}
}
