package demotrial

import (
	"time"

	"vinetally/analytics/simulate"
)

// placePlan is where plants stand.
type placePlan struct {
	name string
	// sheltered: indoors, under lamps; otherwise open to the sky.
	sheltered bool
	// gaps are spans without readings (first missing, first present again).
	gaps [][2]time.Time
}

// cultivarPlan is an invented cultivar. Days are calendar days but for those of
// ripening and holding, which are days at 20 °C.
type cultivarPlan struct {
	name, scale, holdDays, note string
	// stages in order of ripening; the last is ripe.
	stages [4]string
	// ripening and holding are how the simulator of fruit lets its fruit live:
	// from countable fruit to first colour, to turning, to ripe, until it falls.
	ripening                      simulate.Cultivar
	holding                       simulate.Holding
	firstFlowerDays               float64 // from sowing, under lamps
	trusses, perTruss             int
	secondTrusses, secondPerTruss int
	fruitG                        float64
	seedLots                      map[string]seedLot
}

// seedLot is what was sown of a cultivar in one season.
type seedLot struct {
	lot    string
	seeds  int
	viable float64
}

var (
	redStages    = [4]string{"green", "breaker", "turning", "red"}
	orangeStages = [4]string{"green", "breaker", "turning", "orange"}
)

// orangeScale is the one scale the household made itself.
const orangeScale = "orange fruit"

const (
	kitchen = "Kitchen unit"
	balcony = "Balcony"
	winter  = "Winter 2026 (invented)"
	autumn  = "Autumn 2026 (invented)"
)

var places = []placePlan{
	{name: kitchen, sheltered: true, gaps: [][2]time.Time{
		{clock("2025-12-03", 5, 0), clock("2025-12-04", 18, 0)},
		{clock("2026-02-11", 14, 0), clock("2026-02-11", 20, 0)},
		{clock("2026-08-19", 9, 0), clock("2026-08-20", 8, 0)},
	}},
	{name: balcony, gaps: [][2]time.Time{
		{clock("2026-01-28", 2, 0), clock("2026-01-30", 19, 0)},
		{clock("2026-07-22", 11, 0), clock("2026-07-22", 16, 0)},
		{clock("2026-10-15", 4, 0), clock("2026-10-17", 4, 0)},
	}},
}

// cultivars are written down, not drawn: each has residence times of one family
// of its own, and answers to temperature in its own way, within what the
// simulator draws for the cultivars of its trials (all invented).
var cultivars = []cultivarPlan{
	{
		name: "Brambury", note: "invented; round red fruit on a plant that flowers again after its first crop",
		stages: redStages, firstFlowerDays: 37,
		ripening: simulate.Cultivar{
			Means:     [ripe]float64{43, 2.5, 5.4},
			Shapes:    [ripe]simulate.Shape{{Family: simulate.LogNormal, CV: 0.09}, {Family: simulate.LogNormal, CV: 0.38}, {Family: simulate.LogNormal, CV: 0.31}},
			Growing:   simulate.Response{Base: 6.9, Optimum: 28.4, Ceiling: 39.6, Power: 1.4},
			Colouring: simulate.Response{Base: 1.6, Optimum: 30.7, Ceiling: 40.3, Power: 2},
		},
		holding: simulate.Holding{Scale: 26},
		trusses: 6, perTruss: 6, secondTrusses: 3, secondPerTruss: 6, fruitG: 8.6,
		seedLots: map[string]seedLot{winter: {"BR-24", 12, 0.92}, autumn: {"BR-25", 12, 0.92}},
	},
	{
		name: "Pebblewick", holdDays: "7", note: "invented; small red fruit, one crop, holds well",
		stages: redStages, firstFlowerDays: 34,
		ripening: simulate.Cultivar{
			Means:     [ripe]float64{41, 2.3, 5.0},
			Shapes:    [ripe]simulate.Shape{{Family: simulate.Weibull, CV: 0.08}, {Family: simulate.Weibull, CV: 0.34}, {Family: simulate.Weibull, CV: 0.27}},
			Growing:   simulate.Response{Base: 8.2, Optimum: 29.7, Ceiling: 40.8, Power: 1.4},
			Colouring: simulate.Response{Base: 0.3, Optimum: 29.2, Ceiling: 39.1, Power: 2},
		},
		holding: simulate.Holding{Scale: 31},
		trusses: 7, perTruss: 6, fruitG: 7.4,
		seedLots: map[string]seedLot{winter: {"PW-24", 9, 0.96}, autumn: {"PW-25", 12, 0.8}},
	},
	{
		name: "Quincelet", scale: orangeScale, holdDays: "5", note: "invented; orange fruit, thin skin, \"splits if you look at it\"",
		stages: orangeStages, firstFlowerDays: 35,
		ripening: simulate.Cultivar{
			Means:     [ripe]float64{42, 2.2, 4.6},
			Shapes:    [ripe]simulate.Shape{{Family: simulate.Gamma, CV: 0.1}, {Family: simulate.Gamma, CV: 0.32}, {Family: simulate.Gamma, CV: 0.34}},
			Growing:   simulate.Response{Base: 7.3, Optimum: 28.9, Ceiling: 39.2, Power: 1.4},
			Colouring: simulate.Response{Base: 1.9, Optimum: 30.9, Ceiling: 40.6, Power: 2},
		},
		holding: simulate.Holding{Scale: 22},
		trusses: 6, perTruss: 6, fruitG: 6.1,
		seedLots: map[string]seedLot{winter: {"QL-24", 9, 0.85}, autumn: {"QL-24", 9, 0.6}},
	},
}

func cultivarNamed(name string) cultivarPlan {
	for _, c := range cultivars {
		if c.name == name {
			return c
		}
	}
	panic("demotrial: no cultivar " + name)
}

// plantPlan is a plant as the household meant it.
type plantPlan struct {
	label, cultivar, place, sown string
	transplanted                 string
	origin, note                 string
	moves                        []movePlan
	// removed is set where the plant was taken out on a given date; else it
	// goes when it has nothing left, or at the season's end.
	removed string
	// discarded: a spare seedling that never bore.
	discarded bool
	// slowerDays comes on top of the cultivar's days to first flower.
	slowerDays  float64
	secondFlush bool
}

type movePlan struct{ on, to string }

// placeOn returns where the plant stands on a date.
func (p plantPlan) placeOn(date string) string {
	at := p.place
	for _, m := range p.moves {
		if date >= m.on {
			at = m.to
		}
	}
	return at
}

// span is a run of dates, both ends included.
type span struct{ from, to string }

func (s span) has(date string) bool { return s.from <= date && date <= s.to }

// seasonPlan is one crop cycle and what the household did in it.
type seasonPlan struct {
	name, firstDay, lastDay string
	// records is the moment of the season's last record.
	records time.Time
	// cleared: everything still standing was taken out on the last day.
	cleared bool
	plants  []plantPlan
	// firstVisit is the first day on which anybody counts.
	firstVisit string
	// away: nobody looked between the two dates; both ends are visits.
	away []span
	// notebook: visits written down with a date alone.
	notebook []span
	// unpicked: nothing was picked at a place.
	unpicked []unpicked
	// starts overrides the time of day at which a visit begins.
	starts map[string][2]int
}

type unpicked struct {
	place string
	when  span
}

func (s seasonPlan) isNotebook(date string) bool {
	for _, n := range s.notebook {
		if n.has(date) {
			return true
		}
	}
	return false
}

func (s seasonPlan) leavesUnpicked(place, date string) bool {
	for _, u := range s.unpicked {
		if u.place == place && u.when.has(date) {
			return true
		}
	}
	return false
}
