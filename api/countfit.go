package api

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// countFit tells how each count fits what the ripening model expects of it.
func (s *server) countFit(c *gin.Context) error {
	q := parseQuery(c, "as_of", "plant_id")
	only := q.id("plant_id")
	key, err := s.outlookAsOf(c, q)
	if err != nil {
		return err
	}
	fitted, err := s.outlook(c.Request.Context(), key)
	if err != nil {
		return err
	}
	if only != nil && !slices.ContainsFunc(fitted.trial.Plants, func(p crop.Plant) bool { return p.ID == *only }) {
		q.fault("plant_id", fmt.Sprintf("is %s, which was no plant of this season at %s; its plants are at /v1/plants?season_id=%s", *only, fitted.asOf.Format(time.RFC3339), key.season))
		return q.err()
	}
	return respond(c, http.StatusOK, newCountFitAnswer(fitted, only))
}

type countFitAnswer struct {
	AsOf      time.Time     `json:"as_of"`
	Clock     clockAnswer   `json:"clock"`
	Cultivars []cultivarFit `json:"cultivars"`
	Plants    []plantFit    `json:"plants"`
	Misfits   []misfit      `json:"misfits"`
	RestsOn   fitBasis      `json:"rests_on"`
	Warnings  []string      `json:"warnings"`
}

type fitBasis struct {
	Plants int `json:"plants"`
	Visits int `json:"visits"`
}

// misfit is an unlikely count, by the number that is furthest off.
type misfit struct {
	PlantID   crop.ID   `json:"plant_id"`
	Plant     string    `json:"plant"`
	VisitID   crop.ID   `json:"visit_id"`
	CountedAt time.Time `json:"counted_at"`
	TimeKnown bool      `json:"time_known"`
	Chance    float64   `json:"chance"`
	numberFit
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
	VisitIDs  []crop.ID   `json:"visit_ids"`
	CountedAt time.Time   `json:"counted_at"`
	TimeKnown bool        `json:"time_known"`
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

func newCountFitAnswer(o *outlook, only *crop.ID) countFitAnswer {
	a := countFitAnswer{AsOf: o.asOf, Clock: modelClock(o.model), Cultivars: []cultivarFit{}, Plants: []plantFit{}, Misfits: []misfit{}, Warnings: []string{}}
	fits := o.model.CountFits(only)
	by := map[*ripening.Cultivar]*ripening.FitSum{}
	held := 0
	for i, p := range o.model.Plants {
		if p.Cultivar == nil || p.Visits == 0 || only != nil && p.ID != *only {
			continue
		}
		if by[p.Cultivar] == nil {
			by[p.Cultivar] = &ripening.FitSum{}
		}
		by[p.Cultivar].Add(fits[i])
		var sum ripening.FitSum
		sum.Add(fits[i])
		held += sum.Counts
		x := plantFit{PlantID: p.ID, Plant: p.Label, Fit: newFitSum(sum), Visits: []visitFit{}}
		for k := range fits[i] {
			x.Visits = append(x.Visits, newVisitFit(&fits[i][k]))
		}
		a.Plants = append(a.Plants, x)
		a.RestsOn.Plants++
		a.RestsOn.Visits += p.Visits
	}
	for _, v := range o.model.Cultivars {
		if sum := by[v]; sum != nil {
			a.Cultivars = append(a.Cultivars, cultivarFit{v.ID, v.Name, newFitSum(*sum)})
		}
	}
	for _, x := range o.model.Misfits(fits) {
		a.Misfits = append(a.Misfits, misfit{x.PlantID, x.Plant, x.VisitID, x.CountedAt.At, x.CountedAt.TimeKnown(), to3(x.Chance), newNumberFit(x.Furthest())})
	}
	switch {
	case held == 0:
		a.Warnings = append(a.Warnings, "No count has others of its plant to be held against yet: count a plant twice.")
	case !o.model.Clocks.Thermal():
		a.Warnings = append(a.Warnings, "No temperatures are recorded, so every day counts as one at 20 °C.")
	}
	if len(a.Misfits) > 0 {
		a.Warnings = append(a.Warnings, ripening.MisfitWords)
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
	v := visitFit{VisitID: c.VisitID, VisitIDs: c.Rows, CountedAt: c.CountedAt.At, TimeKnown: c.CountedAt.TimeKnown(), Squared: to3(c.Squared), Chance: to3(c.Chance)}
	for _, n := range c.Numbers {
		v.Numbers = append(v.Numbers, newNumberFit(n))
	}
	return v
}

func newNumberFit(n ripening.NumberFit) numberFit {
	x := numberFit{Seen: to3(n.Seen), Expected: to3(n.Expected), SD: to3(n.SD)}
	if n.Stage != "" {
		x.Stage = &n.Stage
	}
	return x
}
