package api

import (
	"net/http"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
	"vinetally/analytics/phenology"
	"vinetally/analytics/yield"
)

func (s *server) seasonYield(c *gin.Context) error {
	q := parseQuery(c, "as_of", "price_per_kg")
	price := q.price("price_per_kg")
	trial, asOf, err := s.seasonAsOf(c, q, false)
	if err != nil {
		return err
	}
	plants := yield.Plants(trial, asOf)
	answer := yieldAnswer{AsOf: asOf, Level: yield.Level, PricePerKg: price, Plants: []plantYield{}, Cultivars: []cultivarYield{}, Warnings: []string{}}
	answer.Season = newSeasonValue(yield.Marketable(trial), price)
	for i := range plants {
		answer.Plants = append(answer.Plants, newPlantYield(&plants[i], trial, asOf, price))
	}
	for _, v := range yield.Cultivars(trial, plants) {
		answer.Cultivars = append(answer.Cultivars, newCultivarYield(&v, price))
	}
	if len(trial.Pickings) == 0 {
		answer.Warnings = append(answer.Warnings, "No picking is on record for this season.")
	}
	return respond(c, http.StatusOK, answer)
}

type yieldAnswer struct {
	AsOf       time.Time       `json:"as_of"`
	Level      float64         `json:"level"`
	PricePerKg *float64        `json:"price_per_kg"`
	Season     seasonValue     `json:"season"`
	Plants     []plantYield    `json:"plants"`
	Cultivars  []cultivarYield `json:"cultivars"`
	Warnings   []string        `json:"warnings"`
}

// seasonValue is the marketable mass of a season, whole units included, and its value at a price.
type seasonValue struct {
	MassG     *float64 `json:"marketable_mass_g"`
	MassLowG  *float64 `json:"marketable_mass_low_g"`
	MassHighG *float64 `json:"marketable_mass_high_g"`
	Value     *float64 `json:"value"`
	ValueLow  *float64 `json:"value_low"`
	ValueHigh *float64 `json:"value_high"`
}

func newSeasonValue(g yield.Grams, price *float64) (a seasonValue) {
	if g.Missing > 0 {
		return a
	}
	a.MassG = new(g.G())
	a.MassLowG, a.MassHighG = g.Interval()
	a.Value, a.ValueLow, a.ValueHigh = worth(price, a.MassG), worth(price, a.MassLowG), worth(price, a.MassHighG)
	return a
}

// worth is a mass in grams at a price per kilogram; nil where either isn't known.
func worth(price, g *float64) *float64 {
	if price == nil || g == nil {
		return nil
	}
	return new(*price * *g / 1000)
}

type plantYield struct {
	PlantID         crop.ID           `json:"plant_id"`
	Plant           string            `json:"plant"`
	CultivarID      crop.ID           `json:"cultivar_id"`
	Cultivar        string            `json:"cultivar"`
	Place           string            `json:"place"`
	Final           bool              `json:"final"`
	FruitsPicked    int               `json:"fruits_picked"`
	FruitsAtMost    *int              `json:"fruits_picked_at_most"`
	MassG           *float64          `json:"mass_g"`
	MassLowG        *float64          `json:"mass_low_g"`
	MassHighG       *float64          `json:"mass_high_g"`
	MassEstimated   bool              `json:"mass_estimated"`
	MassWeighedG    float64           `json:"mass_weighed_g"`
	MarketableShare *float64          `json:"marketable_share"`
	MarketableMassG *float64          `json:"marketable_mass_g"`
	MeanFruitMassG  *float64          `json:"mean_fruit_mass_g"`
	MeanFruitMassOf int               `json:"mean_fruit_mass_of"`
	Value           *float64          `json:"value"`
	ValueLow        *float64          `json:"value_low"`
	ValueHigh       *float64          `json:"value_high"`
	DaysFrom        *string           `json:"days_from"`
	FirstColour     *firstSeen        `json:"first_colour"`
	FirstRipe       *firstSeen        `json:"first_ripe"`
	DaysToFirstRipe *float64          `json:"days_to_first_ripe"`
	DaysTo10        *float64          `json:"days_to_10_percent"`
	DaysTo50        *float64          `json:"days_to_50_percent"`
	DaysTo90        *float64          `json:"days_to_90_percent"`
	SharesOf        *string           `json:"shares_of"`
	FruitsPerWeek   *float64          `json:"fruits_per_week"`
	FirstFourWeeks  *horizonAnswer    `json:"first_four_weeks"`
	Weeks           []weekYield       `json:"weeks"`
	BBCH            *int              `json:"bbch"`
	BBCHStages      []bbchStage       `json:"bbch_stages"`
	Milestones      []milestoneAnswer `json:"milestones"`
	Warnings        []string          `json:"warnings"`
}

type firstSeen struct {
	NotAfterDays  float64  `json:"not_after_days"`
	NotBeforeDays *float64 `json:"not_before_days"`
}

type horizonAnswer struct {
	Fruits int      `json:"fruits"`
	MassG  *float64 `json:"mass_g"`
}

type bbchStage struct {
	Code  int    `json:"code"`
	Words string `json:"words"`
	From  string `json:"from"`
}

type milestoneAnswer struct {
	Name  phenology.Name `json:"name"`
	On    crop.Date      `json:"on"`
	After *crop.Date     `json:"after"`
	From  string         `json:"from"`
}

func newPlantYield(p *yield.Plant, t *crop.Trial, asOf time.Time, price *float64) plantYield {
	r := p.Records
	a := plantYield{
		PlantID: r.Plant.ID, Plant: r.Plant.Label, CultivarID: r.Cultivar.ID, Cultivar: r.Cultivar.Name, Final: p.Final,
		FruitsPicked: p.Tally.Fruits, FruitsAtMost: p.FruitsAtMost, MassEstimated: p.Grams.Estimated > 0 || p.Tally.MassEstimated, MassWeighedG: p.Grams.Weighed,
		DaysTo10: p.To10, DaysTo50: p.To50, DaysTo90: p.To90, FruitsPerWeek: p.PerWeek,
		Weeks: newWeeks(p.Weeks), BBCHStages: []bbchStage{}, Milestones: []milestoneAnswer{}, Warnings: append([]string{}, p.Warnings...),
	}
	if place, ok := t.Place(r.Plant.PlaceOn(crop.DateOf(asOf))); ok {
		a.Place = place.Name
	}
	if p.Grams.Missing == 0 {
		a.MassG = new(p.Grams.G())
		a.MassLowG, a.MassHighG = p.Grams.Interval()
	}
	if p.Tally.Fruits > 0 {
		a.MarketableShare = new(float64(p.Tally.Marketable) / float64(p.Tally.Fruits))
	}
	if p.Marketable.Missing == 0 {
		a.MarketableMassG = new(p.Marketable.G())
		low, high := p.Marketable.Interval()
		a.Value, a.ValueLow, a.ValueHigh = worth(price, a.MarketableMassG), worth(price, low), worth(price, high)
	}
	if mean, n, ok := p.Tally.RipeFruitMassG(); ok {
		a.MeanFruitMassG, a.MeanFruitMassOf = &mean, n
	}
	if p.DaysFrom != "" {
		a.DaysFrom = &p.DaysFrom
	}
	if p.ShareOf != "" {
		a.SharesOf = &p.ShareOf
	}
	a.FirstColour, a.FirstRipe = newFirstSeen(p.FirstColour), newFirstSeen(p.FirstRipe)
	if p.FirstRipe != nil {
		a.DaysToFirstRipe = &p.FirstRipe.High
	}
	if h := p.FirstFourWeeks; h != nil {
		a.FirstFourWeeks = &horizonAnswer{Fruits: h.Fruits}
		if h.Grams.Missing == 0 {
			a.FirstFourWeeks.MassG = new(h.Grams.G())
		}
	}
	for _, s := range p.Stages {
		a.BBCHStages = append(a.BBCHStages, bbchStage(s))
	}
	if s := phenology.Furthest(p.Stages); s != nil {
		a.BBCH = &s.Code
	}
	for _, m := range p.Milestones {
		a.Milestones = append(a.Milestones, milestoneAnswer(m))
	}
	return a
}

func newFirstSeen(d *yield.Days) *firstSeen {
	if d == nil {
		return nil
	}
	return &firstSeen{NotAfterDays: d.High, NotBeforeDays: d.Low}
}

// cultivarYield has the numbers of plantYield as means over plants.
type cultivarYield struct {
	CultivarID           crop.ID     `json:"cultivar_id"`
	Cultivar             string      `json:"cultivar"`
	Plants               int         `json:"plants"`
	FruitsPicked         *meanAnswer `json:"fruits_picked"`
	MassG                *meanAnswer `json:"mass_g"`
	MarketableShare      *meanAnswer `json:"marketable_share"`
	MarketableMassG      *meanAnswer `json:"marketable_mass_g"`
	Value                *meanAnswer `json:"value"`
	MeanFruitMassG       *meanAnswer `json:"mean_fruit_mass_g"`
	DaysToFirstRipe      *meanAnswer `json:"days_to_first_ripe"`
	DaysTo10             *meanAnswer `json:"days_to_10_percent"`
	DaysTo50             *meanAnswer `json:"days_to_50_percent"`
	DaysTo90             *meanAnswer `json:"days_to_90_percent"`
	FruitsPerWeek        *meanAnswer `json:"fruits_per_week"`
	FirstFourWeeksFruits *meanAnswer `json:"first_four_weeks_fruits"`
	FirstFourWeeksMassG  *meanAnswer `json:"first_four_weeks_mass_g"`
	Weeks                []weekYield `json:"weeks"`
	Warnings             []string    `json:"warnings"`
}

// meanAnswer is a mean over plants.
type meanAnswer struct {
	Mean   float64  `json:"mean"`
	Low    *float64 `json:"low"`
	High   *float64 `json:"high"`
	Plants int      `json:"plants"`
}

type weekYield struct {
	WeekOf     crop.Date `json:"week_of"`
	Fruits     int       `json:"fruits"`
	Marketable int       `json:"marketable"`
	Culls      int       `json:"culls"`
	MassG      *float64  `json:"mass_g"`
	MassLowG   *float64  `json:"mass_low_g"`
	MassHighG  *float64  `json:"mass_high_g"`
}

func newCultivarYield(c *yield.Cultivar, price *float64) cultivarYield {
	a := cultivarYield{
		CultivarID: c.Cultivar.ID, Cultivar: c.Cultivar.Name, Plants: c.Plants, FruitsPicked: newMean(c.Fruits), MassG: newMean(c.MassG),
		MarketableShare: newMean(c.MarketableShare), MarketableMassG: newMean(c.MarketableG), MeanFruitMassG: newMean(c.MeanFruitMassG), DaysToFirstRipe: newMean(c.DaysToFirstRipe),
		DaysTo10: newMean(c.To10), DaysTo50: newMean(c.To50), DaysTo90: newMean(c.To90), FruitsPerWeek: newMean(c.PerWeek),
		FirstFourWeeksFruits: newMean(c.FirstFourWeeks), FirstFourWeeksMassG: newMean(c.FirstFourWeeksMass),
		Weeks: newWeeks(c.Weeks), Warnings: append([]string{}, c.Warnings...),
	}
	if m := a.MarketableMassG; m != nil && price != nil {
		a.Value = &meanAnswer{*worth(price, &m.Mean), worth(price, m.Low), worth(price, m.High), m.Plants}
	}
	return a
}

func newWeeks(all []yield.Week) []weekYield {
	out := []weekYield{}
	for _, w := range all {
		week := weekYield{WeekOf: w.Monday, Fruits: w.Fruits, Marketable: w.Marketable, Culls: w.Culls}
		if w.Grams.Missing == 0 {
			week.MassG = new(w.Grams.G())
			week.MassLowG, week.MassHighG = w.Grams.Interval()
		}
		out = append(out, week)
	}
	return out
}

func newMean(i *yield.Interval) *meanAnswer {
	if i == nil {
		return nil
	}
	return &meanAnswer{i.Value, i.Low, i.High, i.N}
}
