package api

import (
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/ripening"
)

type pickAnswer struct {
	On        crop.Date    `json:"on"`
	Fruits    rangeAnswer  `json:"fruits"`
	Grams     *rangeAnswer `json:"mass_g"`
	Plants    []string     `json:"plants"`
	LaterCost rangeAnswer  `json:"later_cost"`
}

type rangeAnswer struct {
	Mean float64 `json:"mean"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

type planAnswer struct {
	Days          int          `json:"days"`
	Weekdays      []string     `json:"weekdays"`
	Tolerated     float64      `json:"tolerated"`
	PastRipeShare *rangeAnswer `json:"past_ripe_share"`
	Waits         bool         `json:"waits"`
	Warnings      []string     `json:"warnings"`
}

type countNextAnswer struct {
	PlantID   crop.ID   `json:"plant_id"`
	Plant     string    `json:"plant"`
	LastCount time.Time `json:"last_count"`
	Days      int       `json:"days"`
	SDNow     float64   `json:"sd_now"`
	SDCounted float64   `json:"sd_counted"`
}

type surpriseAnswer struct {
	PlantID  crop.ID      `json:"plant_id"`
	Plant    string       `json:"plant"`
	VisitID  crop.ID      `json:"visit_id"`
	What     ripening.Act `json:"what"`
	At       time.Time    `json:"at"`
	Stage    *string      `json:"stage"`
	Seen     float64      `json:"seen"`
	Expected float64      `json:"expected"`
	SD       float64      `json:"sd"`
}

func newPicks(p *forecast.Plan) []pickAnswer {
	all := []pickAnswer{}
	for _, x := range p.Picks {
		a := pickAnswer{On: x.On, Fruits: newRange(x.Fruits), Plants: append([]string{}, x.Plants...), LaterCost: newRange(x.LaterCost)}
		if x.Grams != nil {
			a.Grams = new(newRange(*x.Grams))
		}
		all = append(all, a)
	}
	return all
}

func newRange(r forecast.Range) rangeAnswer { return rangeAnswer{to3(r.Mean), to3(r.Low), to3(r.High)} }

func newPlan(p *forecast.Plan, o forecastOptions) planAnswer {
	a := planAnswer{Days: p.Days, Weekdays: []string{}, Tolerated: o.tolerated, Waits: p.Waits, Warnings: append([]string{}, p.Warnings...)}
	if len(p.Picks) > 0 {
		a.PastRipeShare = new(newRange(p.PastRipe))
	}
	for _, d := range o.weekdays.list() {
		a.Weekdays = append(a.Weekdays, strings.ToLower(d.String()[:3]))
	}
	return a
}

func newCountNext(f *forecast.Forecast) []countNextAnswer {
	all := []countNextAnswer{}
	for _, c := range f.CountNext {
		all = append(all, countNextAnswer{c.PlantID, c.Plant, c.LastCount, c.Days, to3(c.Now), to3(c.Counted)})
	}
	return all
}

func newSurprises(f *forecast.Forecast) []surpriseAnswer {
	all := []surpriseAnswer{}
	for _, x := range f.Surprises {
		a := surpriseAnswer{PlantID: x.PlantID, Plant: x.Plant, VisitID: x.VisitID, What: x.What, At: x.At.At, Seen: to3(x.Seen), Expected: to3(x.Expected), SD: to3(x.SD)}
		if x.Stage != "" {
			a.Stage = &x.Stage
		}
		all = append(all, a)
	}
	return all
}
