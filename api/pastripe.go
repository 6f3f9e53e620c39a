package api

import (
	"fmt"
	"net/http"
	"slices"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/report"
	"vinetally/analytics/ripening"
)

func (s *server) pastRipe(c *gin.Context) error {
	q := parseQuery(c, "as_of", "hold_days")
	hold := q.holdDays()
	o := defaultForecast()
	o.holdDays = orOwn(hold)
	fitted, f, err := s.forecastAsOf(c, q, o)
	if err != nil {
		return err
	}
	expected := map[crop.ID]*forecast.PastRipe{}
	for i := range f.Plants {
		expected[f.Plants[i].ID] = &f.Plants[i].PastRipe
	}
	answer := pastRipeAnswer{AsOf: fitted.asOf, HoldDays: hold, Plants: []pastRipePlant{}}
	var left []pastripe.Plant
	for _, m := range fitted.model.Plants {
		p := pastripe.Of(m.Records, m.Book, fitted.asOf, orOwn(hold))
		left = append(left, p)
		a := newPastRipePlant(p, m.Records.Cultivar)
		if x := expected[p.PlantID]; x == nil {
			a.ExpectedReason = new(nothingExpected(m))
		} else {
			a.Expected = newExpected(x)
			if all, raised := x.IfComplete(); raised {
				a.Warnings = append(slices.Clone(a.Warnings), fewerExpected(p.Certain, &all))
			}
		}
		answer.Plants = append(answer.Plants, a)
	}
	answer.sum(pastripe.Sum(left), f)
	return respond(c, http.StatusOK, answer)
}

// fewerExpected says why the model expects fewer than are certain, and what is to be expected if nothing went unwritten.
func fewerExpected(certain int, all *forecast.PastRipe) string {
	return fmt.Sprintf("The model expects fewer than the %d that are certain if the records are complete: it takes it that some have fallen unseen. If none have, about %s are to be expected (%d %% interval %d to %d).",
		certain, report.Rounded(all.Mean, 0), levelPercent, all.Low, all.High)
}

// nothingExpected says why the model doesn't know what hangs on a plant.
func nothingExpected(p *ripening.Plant) string {
	switch {
	case p.Book.Removed:
		return "The plant is removed."
	case p.Records.SeasonOver:
		return "The season is over."
	case p.Visits == 0:
		return "It has never been counted; one count by stage is enough to begin."
	case p.Silent:
		return fmt.Sprintf("Nothing was recorded of it for more than %d days, so what hangs on it now isn't known; count it.", ripening.LongestSilence)
	}
	return "Its ripeness scale has no stage before the ripe one, so the counts don't tell how fruit ripen."
}

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
	ExpectedReason      *string       `json:"expected_reason"`
	LongestDays         *float64      `json:"longest_days"`
	Warnings            []string      `json:"warnings"`
}

// expectedRipe is from the ripening model.
type expectedRipe struct {
	Mean     float64          `json:"mean"`
	Low      int              `json:"low"`
	High     int              `json:"high"`
	Level    float64          `json:"level"`
	MoreThan []moreThanAnswer `json:"more_than"`
}

// moreThanAnswer is the chance that more than so many fruit are past ripe.
type moreThanAnswer struct {
	Fruits int     `json:"fruits"`
	Chance float64 `json:"chance"`
}

type pastRipeSeason struct {
	StandingRipe        *int          `json:"standing_ripe"`
	StandingRipeAtLeast int           `json:"standing_ripe_at_least"`
	Certain             int           `json:"certain"`
	PlantsCertain       int           `json:"plants_certain"`
	Expected            *expectedRipe `json:"expected"`
}

// leastChance is the smallest chance that is listed, mostChances how many are.
const (
	leastChance = 0.01
	mostChances = 30
)

// newExpected lists the chances from more than no fruit on, while they are worth telling. Of many fruit the list begins where the chance falls
// below 99 %.
func newExpected(p *forecast.PastRipe) *expectedRipe {
	a := &expectedRipe{Mean: to3(p.Mean), Low: p.Low, High: p.High, Level: forecast.Level, MoreThan: []moreThanAnswer{}}
	for n := max(0, p.Distribution.Quantile(leastChance)-1); len(a.MoreThan) < mostChances; n++ {
		chance := p.MoreThan(n)
		if chance < leastChance && len(a.MoreThan) > 0 {
			break
		}
		a.MoreThan = append(a.MoreThan, moreThanAnswer{n, to3(chance)})
	}
	return a
}

func newPastRipePlant(p pastripe.Plant, v *crop.Cultivar) pastRipePlant {
	return pastRipePlant{
		PlantID: p.PlantID, Plant: p.Plant, CultivarID: p.CultivarID, Cultivar: v.Name, HoldDays: p.HoldDays,
		StandingRipe: p.StandingRipe, StandingRipeAtLeast: p.StandingRipeAtLeast, Certain: p.Certain,
		LongestDays: p.LongestDays, Warnings: p.Warnings,
	}
}

func (a *pastRipeAnswer) sum(s pastripe.Season, f *forecast.Forecast) {
	a.Season = pastRipeSeason{StandingRipe: s.StandingRipe, StandingRipeAtLeast: s.StandingRipeAtLeast, Certain: s.Certain, PlantsCertain: s.PlantsCertain}
	a.Warnings = s.Warnings
	if f.PastRipe != nil {
		a.Season.Expected = newExpected(f.PastRipe)
		a.Warnings = append(a.Warnings, forecast.Simulated)
	}
}
