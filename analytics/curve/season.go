package curve

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
	"vinetally/analytics/ledger"
)

// plantBook is a plant with its ledger.
type plantBook struct {
	records *crop.PlantRecords
	book    *ledger.Book
	origin  time.Time
	from    string // what its origin is the day of
}

// Season fits every curve of a season: for each cultivar its plants pooled, then each plant, by stage. plants and books
// are in one order, whichever, as of the moment wanted; place refs give the zones. The answer doesn't depend on that order. Days
// are those of the calendar; Clocks.Season counts by temperature.
func Season(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	return Clocks{}.Season(plants, books, places)
}

// Season is the function of that name on these clocks.
func (k Clocks) Season(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	r := Result{Clock: k.Kind(), Method: LeastSquares}
	all := byLabel(plants, books, places)
	r.addCultivars(k, all, one)
	r.addPlants(k, all, one)
	return r
}

// Cultivars fits the pooled curves of Season alone, which takes a small part of its time where there are many plants.
func Cultivars(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	return Clocks{}.Cultivars(plants, books, places)
}

// Cultivars is the function of that name on these clocks.
func (k Clocks) Cultivars(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	r := Result{Clock: k.Kind(), Method: LeastSquares}
	r.addCultivars(k, byLabel(plants, books, places), one)
	return r
}

// Plants fits the plants' own curves of Season alone.
func Plants(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	return Clocks{}.Plants(plants, books, places)
}

// Plants is the function of that name on these clocks.
func (k Clocks) Plants(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	r := Result{Clock: k.Kind(), Method: LeastSquares}
	r.addPlants(k, byLabel(plants, books, places), one)
	return r
}

// byLabel puts plants that can have curves in order.
func byLabel(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) []plantBook {
	all := make([]plantBook, 0, len(plants))
	for i := range plants {
		p := &plants[i]
		if p.Cultivar == nil || p.Scale == nil {
			continue
		}
		b := plantBook{records: p, book: &books[i]}
		b.origin, b.from = originOf(p.Plant, b.book, places)
		all = append(all, b)
	}
	slices.SortFunc(all, func(a, b plantBook) int {
		p, q := a.records.Plant, b.records.Plant
		return cmp.Or(crop.NaturalCompare(p.Label, q.Label), p.ID.Compare(q.ID))
	})
	return all
}

func (r *Result) addCultivars(k Clocks, all []plantBook, by fitter) {
	groups := map[crop.ID][]plantBook{}
	var cultivars []*crop.Cultivar
	for _, b := range all {
		v := b.records.Cultivar
		if groups[v.ID] == nil {
			cultivars = append(cultivars, v)
		}
		groups[v.ID] = append(groups[v.ID], b)
	}
	slices.SortFunc(cultivars, func(a, b *crop.Cultivar) int {
		return cmp.Or(crop.NaturalCompare(a.Name, b.Name), a.ID.Compare(b.ID))
	})
	r.addEach(k, by, len(cultivars), func(i int) (Subject, []plantBook) {
		v := cultivars[i]
		counted := slices.DeleteFunc(groups[v.ID], func(b plantBook) bool { return len(b.book.Visits) == 0 })
		return Subject{Scope: ScopeCultivar, CultivarID: v.ID, Cultivar: v.Name}, counted
	})
}

func (r *Result) addPlants(k Clocks, all []plantBook, by fitter) {
	r.addEach(k, by, len(all), func(i int) (Subject, []plantBook) {
		p := all[i].records
		return Subject{Scope: ScopePlant, PlantID: p.Plant.ID, Plant: p.Plant.Label, CultivarID: p.Cultivar.ID, Cultivar: p.Cultivar.Name}, all[i : i+1]
	})
	r.shrink()
}

// addEach fits the subjects on all processors and adds their curves in order.
func (r *Result) addEach(k Clocks, by fitter, n int, subject func(i int) (Subject, []plantBook)) {
	parts := make([]Result, n)
	parallel.Each(n, func(i int) {
		s, members := subject(i)
		parts[i].add(k, by, s, members)
	})
	for _, p := range parts {
		r.Curves = append(r.Curves, p.Curves...)
		r.Refused = append(r.Refused, p.Refused...)
	}
}

// originOf returns the start of the plant's first day, at the place where it began, and what day that is.
func originOf(p *crop.Plant, book *ledger.Book, places crop.PlaceRefs) (time.Time, string) {
	place, _ := places.Place(p.PlaceID)
	switch {
	case p.SownOn != nil:
		return p.SownOn.Start(place.Location()), "sowing"
	case p.TransplantedOn != nil:
		return p.TransplantedOn.Start(place.Location()), "transplanting"
	case len(book.Visits) > 0:
		first := book.Visits[0].CountedAt
		return first.LocalDate().Start(first.At.Location()), "the first count"
	}
	return time.Time{}, ""
}

// add fits every stage of a subject.
func (r *Result) add(k Clocks, by fitter, s Subject, members []plantBook) {
	if len(members) == 0 {
		return
	}
	origin := slices.MinFunc(members, func(a, b plantBook) int { return a.origin.Compare(b.origin) })
	clock := k.timeline(members)
	for stage, name := range members[0].book.Scale {
		s.Stage = name
		c, refusal := by(s, members, origin, stage, clock)
		if refusal != nil {
			r.Refused = append(r.Refused, *refusal)
			continue
		}
		c.Warnings = append(c.Warnings, warnings(members, origin, stage)...)
		r.Curves = append(r.Curves, *c)
	}
}

// screened are the observations that a fit may rest on, or why there can be none.
func screened(s Subject, members []plantBook, origin plantBook, stage int, clock timeline) (series, *Refusal) {
	books := make([]*ledger.Book, len(members))
	for i := range members {
		books[i] = members[i].book
	}
	all := observe(books, stage, origin.origin, clock)
	if why, yes := tooLittle(all, s.Stage); yes {
		return series{}, &Refusal{s, crop.InsufficientData, why}
	}
	observed := all.consistent()
	switch {
	case all.erratic(), observed.contradictory() && netRise(all.means()) >= 0:
		return series{}, &Refusal{s, crop.NoFit, erraticReason(s.Stage)}
	case observed.contradictory():
		return series{}, &Refusal{s, crop.NoFit, fallingReason(s.Stage)}
	}
	if why, yes := tooLittle(observed, s.Stage); yes {
		return series{}, &Refusal{s, crop.InsufficientData, why}
	}
	return observed, nil
}

// fitter fits one stage of a subject.
type fitter func(s Subject, members []plantBook, origin plantBook, stage int, clock timeline) (*Curve, *Refusal)

// one fits one stage by least squares.
func one(s Subject, members []plantBook, origin plantBook, stage int, clock timeline) (*Curve, *Refusal) {
	observed, refusal := screened(s, members, origin, stage, clock)
	if refusal != nil {
		return nil, refusal
	}
	f, observed, err := observed.fitBalancing()
	if err != nil {
		code, why := outlookOf(members).reason(err, observed.means(), s.Stage)
		return nil, &Refusal{s, code, why}
	}
	if f.falling() {
		return nil, &Refusal{s, crop.NoFit, fallingReason(s.Stage)}
	}
	if words, two := flushWords(f, s, origin); two {
		return nil, &Refusal{s, crop.NoFit, words}
	}
	if f.unfinished() {
		return nil, &Refusal{s, crop.InsufficientData, outlookOf(members).risingReason(s.Stage)}
	}
	c := f.curve(s, origin)
	c.Warnings = append(c.Warnings, observed.remarks(origin, f.last(), boundedWords)...)
	return c, nil
}

// remarks say what the clock assumed until the last round, how many counts leave the number open, in the words given, and how many are left out.
func (s series) remarks(origin plantBook, last mean, open func(n int) string) []string {
	out := s.clock.warnings(origin.origin, last.at)
	if n := len(s.bounds); n > 0 {
		out = append(out, open(n))
	}
	if n := s.left + s.boundsLeft; n > 0 {
		out = append(out, leftOut(n))
	}
	return out
}

// flushWords says where two flushes lie, if there are two.
func flushWords(f *fitted, s Subject, origin plantBook) (string, bool) {
	first, second, two := f.twoFlushes()
	if !two {
		return "", false
	}
	return fmt.Sprintf("The counts show two flushes of %s, around %s and %s; one curve can't describe both.",
		s.Stage, crop.DayWords(f.series.moment(origin.origin, first)), crop.DayWords(f.series.moment(origin.origin, second))), true
}
