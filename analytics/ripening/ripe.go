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
			youngest, oldest := s.hung(x, k)
			share[i] += x.node[k].weight * above(hold, youngest, oldest)
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
			youngest, oldest := s.hung(x, k)
			n := x.mean * x.node[k].weight
			for day := min(int(youngest), days); n != 0; day++ {
				older := 0.0
				if day < days {
					older = n * above(float64(day+1), youngest, oldest)
				}
				by[day] += n - older
				n, youngest = older, max(youngest, float64(day+1))
			}
		}
	}
	return by
}

// hung are between how many days the ripe fruit of a node has hung: a node stands for all that ripened in a part of a stretch of time, evenly.
func (s *state) hung(x *cohort, k int) (youngest, oldest float64) {
	age := x.node[k].age
	youngest, oldest = s.days-x.ended, s.days-x.begun
	if k > 0 {
		oldest = (age + x.node[k-1].age) / 2
	}
	if k+1 < x.nodes {
		youngest = (age + x.node[k+1].age) / 2
	}
	return max(0, min(youngest, age)), max(age, oldest)
}

// above is what part of a stretch of days lies above one.
func above(day, from, to float64) float64 {
	if from >= to {
		if from >= day {
			return 1
		}
		return 0
	}
	return min(1, max(0, (to-day)/(to-from)))
}
