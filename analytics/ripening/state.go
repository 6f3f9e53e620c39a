package ripening

import "math"

// A cohort is the fruit that entered its present stage in one stretch of time.
type cohort struct {
	stage int
	mean  float64 // expected number
	nodes int
	node  [maxNodes]node // a profile of when they entered
	begun float64        // days from the history's start to the first and the last entry
	ended float64
}

// node is the fruit of a cohort that entered at one time.
type node struct {
	age      float64 // on the stage's clock; days for ripe fruit
	survival float64 // chance to stay as long as that
	weight   float64 // share of the cohort
}

const maxNodes = 8

// state is what is believed of a plant's standing fruit: cohorts, their expected numbers, and the covariance of the numbers.
type state struct {
	cohorts []cohort
	cov     []float64 // rows of width stride
	stride  int
	days    float64 // since the history's start
	grown   float64 // standard days of growing since then
}

func newState() *state {
	const room = 64
	return &state{cohorts: make([]cohort, 0, room), cov: make([]float64, room*room), stride: room}
}

func (s *state) reset() { s.cohorts, s.days, s.grown = s.cohorts[:0], 0, 0 }

func (s *state) row(i int) []float64 { return s.cov[i*s.stride : i*s.stride+len(s.cohorts)] }

// add appends an empty cohort, of no covariance with the others.
func (s *state) add(stage int) *cohort {
	n := len(s.cohorts)
	if n == s.stride {
		s.widen()
	}
	s.cohorts = append(s.cohorts, cohort{stage: stage})
	row := s.cov[n*s.stride:]
	for j := 0; j <= n; j++ {
		row[j] = 0
		s.cov[j*s.stride+n] = 0
	}
	return &s.cohorts[n]
}

func (s *state) widen() {
	wide := 2 * s.stride
	cov := make([]float64, wide*wide)
	for i := range s.cohorts {
		copy(cov[i*wide:], s.row(i))
	}
	s.cov, s.stride = cov, wide
}

// merge puts cohort j into cohort i and closes the gap. withCov is false in a pass that keeps no covariance.
func (s *state) merge(i, j int, withCov bool) {
	s.cohorts[i].take(&s.cohorts[j])
	s.join(i, j, withCov)
}

// join adds the covariance of cohort j to that of cohort i and closes the gap.
func (s *state) join(i, j int, withCov bool) {
	n := len(s.cohorts)
	if withCov {
		a, b := s.row(i), s.row(j)
		for k := range n {
			a[k] += b[k]
		}
		for k := range n {
			s.cov[k*s.stride+i] += s.cov[k*s.stride+j]
		}
		for k := j; k < n-1; k++ {
			copy(s.row(k), s.row(k+1))
		}
		for k := range n - 1 {
			row := s.row(k)
			copy(row[j:], row[j+1:])
		}
	}
	s.cohorts = append(s.cohorts[:j], s.cohorts[j+1:]...)
}

// empty is how little a cohort holds, in fruit and in variance, that needn't be followed on its own.
const empty = 1e-6

// bury puts cohorts that are as good as empty into a neighbour of their stage, whose profile stays, and appends to list which into which, for
// passes that have no variances to go by.
func (s *state) bury(ripe int, list [][2]int) [][2]int {
	for stage := 0; stage <= ripe; stage++ {
		before := -1
		for j := 0; j < len(s.cohorts); j++ {
			x := &s.cohorts[j]
			if x.stage != stage {
				continue
			}
			if before >= 0 {
				if x.holdsNothing(s.row(j)[j]) {
					list = append(list, [2]int{before, j})
				} else if y := &s.cohorts[before]; y.holdsNothing(s.row(before)[before]) {
					list = append(list, [2]int{j, before})
				} else {
					before = j
					continue
				}
				pair := list[len(list)-1]
				s.putInto(pair[0], pair[1], true)
				j--
				if pair[0] > pair[1] {
					before = pair[0] - 1
				}
				continue
			}
			before = j
		}
	}
	return list
}

func (c *cohort) holdsNothing(variance float64) bool {
	return variance < empty && c.mean < empty && c.mean > -empty
}

// buryAgain does what an earlier pass did.
func (s *state) buryAgain(list [][2]int) {
	for _, pair := range list {
		s.putInto(pair[0], pair[1], false)
	}
}

// putInto adds the number of cohort j to cohort i.
func (s *state) putInto(i, j int, withCov bool) {
	s.cohorts[i].mean += s.cohorts[j].mean
	s.join(i, j, withCov)
}

// take adds the fruit of another cohort, with its profile. Profiles weigh as much as their cohorts hold, more or less than none, so that the whole
// doesn't jump where a number goes through zero.
func (c *cohort) take(other *cohort) {
	total := c.mean + other.mean
	a, b := 0.5, 0.5
	if held := math.Abs(c.mean) + math.Abs(other.mean); held > 0 {
		a, b = math.Abs(c.mean)/held, math.Abs(other.mean)/held
	}
	for i := range c.nodes {
		c.node[i].weight *= a
	}
	for i := range other.nodes {
		x := other.node[i]
		x.weight *= b
		if c.nodes == maxNodes {
			c.narrow()
		}
		c.node[c.nodes] = x
		c.nodes++
	}
	c.mean = total
	c.begun, c.ended = min(c.begun, other.begun), max(c.ended, other.ended)
}

// narrow joins the two neighbouring nodes that are nearest in age. Nodes stand from the oldest to the youngest.
func (c *cohort) narrow() {
	best := 0
	for i := 1; i+1 < c.nodes; i++ {
		if c.node[i].age-c.node[i+1].age < c.node[best].age-c.node[best+1].age {
			best = i
		}
	}
	a, b := &c.node[best], &c.node[best+1]
	w := a.weight + b.weight
	if w > 0 {
		a.age = (a.age*a.weight + b.age*b.weight) / w
		a.survival = (a.survival*a.weight + b.survival*b.weight) / w
	}
	a.weight = w
	copy(c.node[best+1:c.nodes-1], c.node[best+2:c.nodes])
	c.nodes--
}

// spread adds the variance of a deviation that all cohorts share, each by so much.
func (s *state) spread(by []float64) {
	for i, a := range by {
		row := s.row(i)
		for j, b := range by {
			row[j] += a * b
		}
	}
}

// expected is the number of fruit expected in a stage; all stages for -1.
func (s *state) expected(stage int) float64 {
	sum := 0.0
	for i := range s.cohorts {
		if stage < 0 || s.cohorts[i].stage == stage {
			sum += s.cohorts[i].mean
		}
	}
	return sum
}
