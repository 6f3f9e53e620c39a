package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// countFit tells how each count fits what the ripening model expected of it.
func (s *server) countFit(c *gin.Context) error {
	key, err := s.outlookAsOf(c, parseQuery(c, "as_of"))
	if err != nil {
		return err
	}
	fitted, err := s.outlook(c.Request.Context(), key)
	if err != nil {
		return err
	}
	return respond(c, http.StatusOK, newCountFitAnswer(fitted))
}

type countFitAnswer struct {
	AsOf      time.Time     `json:"as_of"`
	Cultivars []cultivarFit `json:"cultivars"`
	Plants    []plantFit    `json:"plants"`
	Warnings  []string      `json:"warnings"`
}

type cultivarFit struct {
	CultivarID crop.ID `json:"cultivar_id"`
	Cultivar   string  `json:"cultivar"`
	Fit        fitSum  `json:"fit"`
}

type plantFit struct {
	PlantID crop.ID    `json:"plant_id"`
	Plant   string     `json:"plant"`
	Fit     fitSum     `json:"fit"`
	Visits  []visitFit `json:"visits"`
}

type fitSum struct {
	Counts   int      `json:"counts"`
	Numbers  int      `json:"numbers"`
	Squared  *float64 `json:"squared_a_number"`
	Unlikely int      `json:"unlikely"`
}

type visitFit struct {
	VisitID   crop.ID     `json:"visit_id"`
	CountedAt time.Time   `json:"counted_at"`
	Numbers   []numberFit `json:"numbers"`
	Squared   float64     `json:"squared_deviation"`
	Chance    float64     `json:"chance"`
}

type numberFit struct {
	Stage    *string `json:"stage"`
	Seen     float64 `json:"seen"`
	Expected float64 `json:"expected"`
	SD       float64 `json:"sd"`
}

func newCountFitAnswer(o *outlook) countFitAnswer {
	a := countFitAnswer{AsOf: o.asOf, Cultivars: []cultivarFit{}, Plants: []plantFit{}, Warnings: []string{ripening.FitWords}}
	fits := o.model.CountFits()
	by := map[*ripening.Cultivar]*ripening.FitSum{}
	for i, p := range o.model.Plants {
		if p.Cultivar == nil || p.Visits == 0 {
			continue
		}
		if by[p.Cultivar] == nil {
			by[p.Cultivar] = &ripening.FitSum{}
		}
		by[p.Cultivar].Add(fits[i])
		var sum ripening.FitSum
		sum.Add(fits[i])
		x := plantFit{PlantID: p.ID, Plant: p.Label, Fit: newFitSum(sum), Visits: []visitFit{}}
		for k := range fits[i] {
			x.Visits = append(x.Visits, newVisitFit(&fits[i][k]))
		}
		a.Plants = append(a.Plants, x)
	}
	for _, v := range o.model.Cultivars {
		if sum := by[v]; sum != nil {
			a.Cultivars = append(a.Cultivars, cultivarFit{v.ID, v.Name, newFitSum(*sum)})
		}
	}
	return a
}

func newFitSum(s ripening.FitSum) fitSum {
	a := fitSum{Counts: s.Counts, Numbers: s.Numbers, Unlikely: s.Unlikely}
	if s.Numbers > 0 {
		a.Squared = new(to3(s.Squared / float64(s.Numbers)))
	}
	return a
}

func newVisitFit(c *ripening.CountFit) visitFit {
	v := visitFit{VisitID: c.VisitID, CountedAt: c.CountedAt.At, Squared: to3(c.Squared), Chance: to3(c.Chance())}
	for i := range c.Numbers {
		n := &c.Numbers[i]
		x := numberFit{Seen: to3(n.Seen), Expected: to3(n.Expected), SD: to3(n.SD)}
		if n.Stage != "" {
			x.Stage = &n.Stage
		}
		v.Numbers = append(v.Numbers, x)
	}
	return v
}
