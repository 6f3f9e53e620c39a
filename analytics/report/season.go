package report

import (
	"cmp"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/ledger"
	"vinetally/analytics/pastripe"
	"vinetally/analytics/yield"
)

// Options choose what a report speaks of.
type Options struct {
	// AsOf is the moment the report speaks of; the zero time is the season's last record.
	AsOf time.Time
	// HoldDays overrides the cultivars' own hold times.
	HoldDays *float64
	// PricePerKg is what a kilogram of marketable fruit is worth, in any money; nil if nobody said.
	PricePerKg *float64
	// From is the first day of a period that the report sums up besides; nil for none. It must not be after AsOf's day.
	From *crop.Date
	// Earlier are earlier seasons of the same cultivars, the oldest first, as they were known at AsOf; they sharpen the forecast.
	Earlier []*crop.Trial
	// NoForecast leaves out what is to come, which takes most of the time that a report takes.
	NoForecast bool
}

// Level says how much a statement wants to be acted on.
type Level int

// The levels, calm to urgent.
const (
	Plain Level = iota
	Look        // deserves a look
	Act         // something should be done now
)

// Statement is one sentence of the answer.
type Statement struct {
	Text  string
	Level Level
}

// Plant is one plant's part of a report.
type Plant struct {
	Records  crop.PlantRecords
	Place    *crop.Place // where it stands, or stood last
	Book     ledger.Book
	PastRipe pastripe.Plant
	Tally    yield.Tally
}

// Season is a season's report.
type Season struct {
	Season crop.Season
	// AsOf is in the zone of the season's places if they share one, else in UTC.
	AsOf     time.Time
	Trial    *crop.Trial // only what was recorded by AsOf
	Plants   []Plant     // by label
	Standing []Standing  // one for each scale in use
	Yield    yield.Season
	Losses   []CauseLoss
	PastRipe pastripe.Season
	// PastRipeDays is empty in a plant's report.
	PastRipeDays PastRipeDays
	Harvest      Harvest
	Ahead        Ahead
	Air          []PlaceAir   // by place, where there are readings; none unless the trial was loaded with them
	Period       *Period      // nil if none was asked for
	Curves       curve.Result // of the cultivars; in a plant's report those of the plant
	// PlantCurves are those of the single plants, drawn towards their cultivar's; none in a plant's report and of more than MostPlantCurves.
	PlantCurves curve.Result
	Totals      Totals
	Answer      []Statement
	RestsOn     []string
	Warnings    []string
	PricePerKg  *float64
	HoldGiven   bool // the hold time was asked for; else each cultivar has its own

	one         bool         // it speaks of one plant only
	clocks      curve.Clocks // what its curves count
	calendarWhy string       // why that are days of the calendar
}

// MostPlantCurves is up to how many plants a season's report fits each plant's own curves too.
const MostPlantCurves = 100

// Of makes the report of a season. The trial must be arranged; it is not changed.
func Of(full *crop.Trial, o Options) *Season {
	s := prepare(full, o, nil)
	plants, books := s.parts()
	s.Curves = s.clocks.Cultivars(plants, books, s.Trial)
	if len(plants) <= MostPlantCurves {
		s.PlantCurves = s.clocks.Plants(plants, books, s.Trial)
	}
	s.Answer = s.withPeriod(s.answer())
	return s
}

// withPeriod puts the period's sentence first.
func (s *Season) withPeriod(answer []Statement) []Statement {
	if s.Period == nil {
		return answer
	}
	return append([]Statement{s.Period.words()}, answer...)
}

// prepare does everything but the curves and the words, for all plants or for one.
func prepare(full *crop.Trial, o Options, only *crop.ID) *Season {
	asOf := o.Moment(full)
	trial := full.AsOf(asOf)
	records := trial.ByPlant() // before narrowing, for what came from a unit concerns each of its plants
	picked := yield.Of(trial)  // and a common weighing is shared out among all that were in it
	reaped := harvest(trial, asOf, o.HoldDays, only)
	coming := ahead(full, trial, records, asOf, o, only)
	if only != nil {
		tally := picked.Plants[*only]
		picked = yield.Season{Tally: tally, Plants: map[crop.ID]yield.Tally{*only: tally}}
		trial = trial.Only(*only)
		records = slices.DeleteFunc(records, func(r crop.PlantRecords) bool { return r.Plant.ID != *only })
	}
	s := &Season{Season: trial.Season, AsOf: asOf.In(trial.Zone()), Trial: trial, Yield: picked, Harvest: reaped, Ahead: coming, PricePerKg: o.PricePerKg, HoldGiven: o.HoldDays != nil, one: only != nil}
	var left []pastripe.Plant
	for _, r := range records {
		if r.Scale == nil {
			continue
		}
		p := Plant{Records: r, Book: ledger.Of(r), Tally: s.Yield.Plants[r.Plant.ID]}
		p.Place, _ = trial.Place(r.Plant.PlaceOn(crop.DateOf(s.AsOf)))
		p.PastRipe = pastripe.Of(r, p.Book, asOf, hold(r.Cultivar, o.HoldDays))
		left = append(left, p.PastRipe)
		s.Plants = append(s.Plants, p)
	}
	s.PastRipe = pastripe.Sum(left)
	if !s.one {
		s.PastRipeDays = s.pastRipeDays(o.HoldDays)
	}
	s.Standing = standingByScale(s.Plants, !s.one)
	s.Losses = losses(s.Trial)
	s.Air = air(s.Trial)
	s.clocks, s.calendarWhy = curve.NewClocks(s.Trial.Temperatures, s.Trial).Preferred(records)
	if o.From != nil {
		s.Period = s.period(*o.From)
	}
	s.Totals = totals(s)
	s.RestsOn, s.Warnings = s.basis(), s.warnings()
	return s
}

func (s *Season) parts() ([]crop.PlantRecords, []ledger.Book) {
	records := make([]crop.PlantRecords, len(s.Plants))
	books := make([]ledger.Book, len(s.Plants))
	for i, p := range s.Plants {
		records[i], books[i] = p.Records, p.Book
	}
	return records, books
}

func hold(v *crop.Cultivar, given *float64) float64 {
	if given != nil {
		return *given
	}
	return v.Hold()
}

// standingByScale follows the plants of each scale together, in the order of the scales' names.
func standingByScale(plants []Plant, units bool) []Standing {
	groups := map[crop.ID][]*Plant{}
	var scales []*crop.Scale
	for i := range plants {
		scale := plants[i].Records.Scale
		if groups[scale.ID] == nil {
			scales = append(scales, scale)
		}
		groups[scale.ID] = append(groups[scale.ID], &plants[i])
	}
	slices.SortFunc(scales, func(a, b *crop.Scale) int {
		return cmp.Or(cmp.Compare(a.Name, b.Name), a.ID.Compare(b.ID))
	})
	var out []Standing
	for _, scale := range scales {
		if s := standing(scale, groups[scale.ID], units); len(s.Days) > 0 {
			out = append(out, s)
		}
	}
	return out
}

// RipeStage returns the name of the ripe stage of a cultivar's scale, "" for an unknown cultivar.
func (s *Season) RipeStage(cultivar crop.ID) string {
	scale, ok := crop.ScaleOf(s.Trial, cultivar)
	if !ok {
		return ""
	}
	return scale.RipeStage
}
