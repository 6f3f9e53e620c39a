package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/waste"
	"vinetally/analytics/yield"
)

func (s *server) seasonWaste(c *gin.Context) error {
	q := parseQuery(c, "as_of", "hold_days")
	hold := q.holdDays()
	key, err := s.outlookAsOf(c, q)
	if err != nil {
		return err
	}
	fitted, err := s.outlook(c.Request.Context(), key)
	if err != nil {
		return err
	}
	w := waste.Of(fitted.trial, fitted.asOf, orOwn(hold))
	answer := wasteAnswer{AsOf: fitted.asOf, Level: waste.Level, HoldDays: hold, Season: newWasteSum(&w.Sum), Share: newWasteShare(w.Share),
		Plants: []plantWaste{}, Cultivars: []cultivarWaste{}, Weeks: []weekWaste{}, Warnings: []string{pastripe.RestsOnRecords}}
	answer.lookBack(forecast.IntervalsOf(fitted.model, forecast.Options{HoldDays: orOwn(hold)}))
	for i := range w.Plants {
		p := &w.Plants[i]
		answer.Plants = append(answer.Plants, plantWaste{PlantID: p.Records.Plant.ID, Plant: p.Records.Plant.Label, CultivarID: p.Records.Cultivar.ID,
			Cultivar: p.Records.Cultivar.Name, Fruit: newWasteSum(&p.Sum)})
	}
	for i := range w.Cultivars {
		v := &w.Cultivars[i]
		answer.Cultivars = append(answer.Cultivars, cultivarWaste{CultivarID: v.Cultivar.ID, Cultivar: v.Cultivar.Name, Plants: v.Plants,
			Fruit: newWasteSum(&v.Sum), Share: newWasteShare(v.Share)})
	}
	for _, week := range w.Weeks {
		answer.Weeks = append(answer.Weeks, weekWaste{WeekOf: week.Monday, Picked: week.Picked, Lost: newLosses(week.Lost),
			PickedMass: newMassAnswer(week.PickedG), LostMass: newMassAnswer(week.LostG)})
	}
	return respond(c, http.StatusOK, answer)
}

// lookBack adds what other intervals would have lost, and where most was lost for want of a visit.
func (a *wasteAnswer) lookBack(r forecast.Intervals) {
	a.Intervals = []intervalWaste{}
	for _, x := range r.By {
		a.Intervals = append(a.Intervals, intervalWaste{x.EveryDays, intervalAnswer{to3(x.LostShare.Mean), to3(x.LostShare.Low), to3(x.LostShare.High)}, intervalAnswer{to3(x.Saved.Mean), to3(x.Saved.Low), to3(x.Saved.High)}})
	}
	if g := r.Costliest; g != nil {
		a.Costliest = &costliestGap{g.From, g.To, g.Plants, newRange(g.Passed)}
	}
	if r.Refusal != "" {
		a.Warnings = append(a.Warnings, r.Refusal)
	}
	a.Warnings = append(a.Warnings, r.Warnings...)
}

type wasteAnswer struct {
	AsOf      time.Time       `json:"as_of"`
	Level     float64         `json:"level"`
	HoldDays  *float64        `json:"hold_days"`
	Season    wasteSum        `json:"season"`
	Share     *wasteShare     `json:"wasted_share"`
	Plants    []plantWaste    `json:"plants"`
	Cultivars []cultivarWaste `json:"cultivars"`
	Weeks     []weekWaste     `json:"weeks"`
	Intervals []intervalWaste `json:"intervals"`
	Costliest *costliestGap   `json:"costliest_gap"`
	Warnings  []string        `json:"warnings"`
}

// intervalWaste is what picking at another interval would have lost.
type intervalWaste struct {
	EveryDays int            `json:"every_days"`
	LostShare intervalAnswer `json:"lost_share"`
	Saved     intervalAnswer `json:"fruits_saved"`
}

// costliestGap is the time without a visit in which most fruit passed its hold time.
type costliestGap struct {
	From   time.Time   `json:"from"`
	To     time.Time   `json:"to"`
	Plants int         `json:"plants"`
	Passed rangeAnswer `json:"passed_fruits"`
}

type plantWaste struct {
	PlantID    crop.ID  `json:"plant_id"`
	Plant      string   `json:"plant"`
	CultivarID crop.ID  `json:"cultivar_id"`
	Cultivar   string   `json:"cultivar"`
	Fruit      wasteSum `json:"fruit"`
}

type cultivarWaste struct {
	CultivarID crop.ID     `json:"cultivar_id"`
	Cultivar   string      `json:"cultivar"`
	Plants     int         `json:"plants"`
	Fruit      wasteSum    `json:"fruit"`
	Share      *wasteShare `json:"wasted_share"`
}

type weekWaste struct {
	WeekOf     crop.Date     `json:"week_of"`
	Picked     int           `json:"picked"`
	Lost       []causeAnswer `json:"lost"`
	PickedMass massAnswer    `json:"picked_mass"`
	LostMass   massAnswer    `json:"lost_mass"`
}

type wasteSum struct {
	Picked        int           `json:"picked"`
	RipeCulls     int           `json:"ripe_culls"`
	PickedUnripe  int           `json:"picked_unripe"`
	Lost          []causeAnswer `json:"lost"`
	Wasted        int           `json:"wasted"`
	Ripened       int           `json:"ripened"`
	Unaccounted   int           `json:"unaccounted"`
	StandingRipe  int           `json:"standing_ripe_at_least"`
	PastRipe      int           `json:"past_ripe_certain"`
	UnripeAtEnd   *int          `json:"unripe_at_end"`
	LostMassG     *float64      `json:"lost_mass_g"`
	LostMassLowG  *float64      `json:"lost_mass_low_g"`
	LostMassHighG *float64      `json:"lost_mass_high_g"`
	PickedMass    massAnswer    `json:"picked_mass"`
	PastRipeMass  massAnswer    `json:"past_ripe_mass"`
	Uncounted     int           `json:"pickings_weighed_only"`
}

type causeAnswer struct {
	Cause  crop.Cause `json:"cause"`
	Ripe   int        `json:"ripe"`
	Unripe int        `json:"unripe"`
}

type wasteShare struct {
	Value  float64  `json:"value"`
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
	Plants int      `json:"plants"`
}

func newWasteSum(s *waste.Sum) wasteSum {
	a := wasteSum{Picked: s.Picked, RipeCulls: s.RipeCulls, PickedUnripe: s.PickedUnripe, Lost: newLosses(s.Lost), Wasted: s.Wasted, Ripened: s.Ripened,
		Unaccounted: s.Unaccounted, StandingRipe: s.StandingRipe, PastRipe: s.PastRipe, UnripeAtEnd: s.UnripeAtEnd, Uncounted: s.Uncounted}
	a.LostMassG, a.LostMassLowG, a.LostMassHighG = newMass(s.LostG)
	a.PickedMass, a.PastRipeMass = newMassAnswer(s.PickedG), newMassAnswer(s.PastRipeG)
	return a
}

// massAnswer is a mass with its interval.
type massAnswer struct {
	MassG *float64 `json:"mass_g"`
	LowG  *float64 `json:"low_g"`
	HighG *float64 `json:"high_g"`
}

func newMassAnswer(g yield.Grams) massAnswer {
	mass, low, high := newMass(g)
	return massAnswer{mass, low, high}
}

func newMass(g yield.Grams) (mass, low, high *float64) {
	if g.Missing > 0 {
		return nil, nil, nil
	}
	low, high = g.Interval()
	return new(g.G()), low, high
}

func newLosses(all []waste.Loss) []causeAnswer {
	out := []causeAnswer{}
	for _, l := range all {
		out = append(out, causeAnswer(l))
	}
	return out
}

func newWasteShare(s *waste.Share) *wasteShare {
	if s == nil {
		return nil
	}
	return &wasteShare{s.Value, s.Low, s.High, s.Plants}
}
