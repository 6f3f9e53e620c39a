package ripening

// pastRipe is the share of each cohort that has hung ripe for some days or longer.
func (s *state) pastRipe(c *chain, hold float64) []float64 {
	share := make([]float64, len(s.cohorts))
	for i := range s.cohorts {
		x := &s.cohorts[i]
		if x.stage != c.unripe {
			continue
		}
		for k := range x.nodes {
			if x.node[k].age >= hold {
				share[i] += x.node[k].weight
			}
		}
	}
	return share
}

// number is the expected number of fruit, each cohort's counted with a share.
func (s *state) number(share []float64) float64 {
	sum := 0.0
	for i, a := range share {
		sum += s.cohorts[i].mean * a
	}
	return sum
}

// ages is the expected number of ripe fruit by how many whole days they have hung, older ones with the oldest.
func (s *state) ages(c *chain, days int) []float64 {
	by := make([]float64, days+1)
	for i := range s.cohorts {
		x := &s.cohorts[i]
		if x.stage != c.unripe {
			continue
		}
		for k := range x.nodes {
			by[min(int(x.node[k].age), days)] += x.mean * x.node[k].weight
		}
	}
	return by
}
