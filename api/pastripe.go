package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
)

func (s *server) pastRipe(c *gin.Context) error {
	q := parseQuery(c, "as_of", "hold_days")
	hold := q.days("hold_days")
	trial, asOf, err := s.seasonAsOf(c, q, false)
	if err != nil {
		return err
	}
	answer := pastRipeAnswer{AsOf: asOf, HoldDays: hold, Plants: []pastRipePlant{}}
	var left []pastripe.Plant
	for _, r := range trial.ByPlant() {
		p := pastripe.Of(r, ledger.Of(r), asOf, orOwn(hold))
		left = append(left, p)
		answer.Plants = append(answer.Plants, newPastRipePlant(p, r.Cultivar))
	}
	answer.sum(pastripe.Sum(left))
	return respond(c, http.StatusOK, answer)
}

// noRipeningModel goes with every null that only a model could fill.
const noRipeningModel = "There is no ripening model yet, so what is expected is not given; what is certain needs none."

type pastRipeAnswer struct {
	AsOf     time.Time       `json:"as_of"`
	HoldDays *float64        `json:"hold_days"` // null where each cultivar's own was taken; every plant says which
	Plants   []pastRipePlant `json:"plants"`
	Season   pastRipeSeason  `json:"season"`
	Warnings []string        `json:"warnings"`
}

type pastRipePlant struct {
	PlantID             crop.ID       `json:"plant_id"`
	Plant               string        `json:"plant"`
	CultivarID          crop.ID       `json:"cultivar_id"`
	Cultivar            string        `json:"cultivar"`
	HoldDays            float64       `json:"hold_days"`
	StandingRipe        *int          `json:"standing_ripe"`
	StandingRipeAtLeast int           `json:"standing_ripe_at_least"`
	Certain             int           `json:"certain"`
	Expected            *expectedRipe `json:"expected"`
	LongestDays         *float64      `json:"longest_days"`
	Warnings            []string      `json:"warnings"`
}

// expectedRipe is from the ripening model, so null as yet.
type expectedRipe struct {
	Mean float64 `json:"mean"`
	Low  int     `json:"low"`
	High int     `json:"high"`
}

type pastRipeSeason struct {
	StandingRipe        *int          `json:"standing_ripe"`
	StandingRipeAtLeast int           `json:"standing_ripe_at_least"`
	Certain             int           `json:"certain"`
	PlantsCertain       int           `json:"plants_certain"`
	Expected            *expectedRipe `json:"expected"`
}

func newPastRipePlant(p pastripe.Plant, v *crop.Cultivar) pastRipePlant {
	return pastRipePlant{
		PlantID: p.PlantID, Plant: p.Plant, CultivarID: p.CultivarID, Cultivar: v.Name, HoldDays: p.HoldDays,
		StandingRipe: p.StandingRipe, StandingRipeAtLeast: p.StandingRipeAtLeast, Certain: p.Certain,
		LongestDays: p.LongestDays, Warnings: p.Warnings,
	}
}

func (a *pastRipeAnswer) sum(s pastripe.Season) {
	a.Season = pastRipeSeason{StandingRipe: s.StandingRipe, StandingRipeAtLeast: s.StandingRipeAtLeast, Certain: s.Certain, PlantsCertain: s.PlantsCertain}
	a.Warnings = append(s.Warnings, noRipeningModel)
}
