package curve

import (
	"cmp"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// observation is ever_reached of one stage at one exact count of one plant.
type observation struct {
	plant   int // index of the plant within its series
	at      time.Time
	x       float64 // days since the origin
	reached float64
}

// series is all observations of one stage of one plant or of several.
type series struct {
	plants int
	obs    []observation // by x, then plant
}

const day = 24 * time.Hour

// observe collects the exact observations of a stage from the books of some plants. Counts that leave the stage unknown
// give none.
func observe(books []*ledger.Book, stage int, origin time.Time) series {
	s := series{plants: len(books)}
	for i, b := range books {
		for _, v := range b.Visits {
			if v.EverReached[stage] == nil {
				continue
			}
			s.obs = append(s.obs, observation{
				plant:   i,
				at:      v.CountedAt.At,
				x:       daysBetween(origin, v.CountedAt.At),
				reached: float64(*v.EverReached[stage]),
			})
		}
	}
	sortObservations(s.obs)
	return s
}

func sortObservations(obs []observation) {
	slices.SortStableFunc(obs, func(a, b observation) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.plant, b.plant))
	})
}

func daysBetween(origin, at time.Time) float64 { return float64(at.Sub(origin)) / float64(day) }

// without returns the series with one plant left out.
func (s series) without(plant int) series {
	kept := make([]observation, 0, len(s.obs))
	for _, o := range s.obs {
		if o.plant != plant {
			kept = append(kept, o)
		}
	}
	return series{plants: s.plants - 1, obs: kept}
}

// mean is the mean of ever_reached over the plants counted on one day, the point that least squares sees.
type mean struct {
	on     crop.Date
	at     time.Time // mean instant
	x      float64   // mean day
	value  float64   // fruit a plant
	weight float64   // plants in the mean
	obs    []int     // their indices in series.obs
}

// means gathers the observations of a day, so that thirty plants counted on one round are one point of weight 30 and not
// thirty points that would make the fit look thirty times as sure.
func (s series) means() []mean {
	var out []mean
	for i, o := range s.obs {
		on := crop.DateOf(o.at)
		if n := len(out); n == 0 || out[n-1].on != on {
			out = append(out, mean{on: on})
		}
		m := &out[len(out)-1]
		m.obs = append(m.obs, i)
	}
	for i := range out {
		m := &out[i]
		n := float64(len(m.obs))
		var x, y float64
		for _, j := range m.obs {
			x += s.obs[j].x
			y += s.obs[j].reached
		}
		m.x, m.value, m.weight = x/n, y/n, n
		first := s.obs[m.obs[0]]
		m.at = first.at.Add(time.Duration((m.x - first.x) * float64(day)))
	}
	return out
}

// fruits is the number of fruit that are known to have reached the stage: the highest exact value of each plant, added up.
func (s series) fruits() int {
	highest := make([]float64, s.plants)
	for _, o := range s.obs {
		highest[o.plant] = max(highest[o.plant], o.reached)
	}
	total := 0.0
	for _, h := range highest {
		total += h
	}
	return int(total)
}
