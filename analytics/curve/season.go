package curve

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// plantBook is a plant with its ledger.
type plantBook struct {
	records *crop.PlantRecords
	book    *ledger.Book
	origin  time.Time
	from    string // sowing or transplanting
}

// Season fits every curve of a season: for each cultivar its plants pooled, then each plant, by stage. plants and books
// are in the same order, as of the moment wanted; place refs give the zones.
func Season(plants []crop.PlantRecords, books []ledger.Book, places crop.PlaceRefs) Result {
	var r Result
	all := make([]plantBook, 0, len(plants))
	groups := map[crop.ID][]int{}
	var cultivars []*crop.Cultivar
	for i := range plants {
		p := &plants[i]
		if p.Cultivar == nil || p.Scale == nil {
			continue
		}
		b := plantBook{records: p, book: &books[i]}
		b.origin, b.from = originOf(p.Plant, places)
		if groups[p.Cultivar.ID] == nil {
			cultivars = append(cultivars, p.Cultivar)
		}
		groups[p.Cultivar.ID] = append(groups[p.Cultivar.ID], len(all))
		all = append(all, b)
	}
	slices.SortFunc(cultivars, func(a, b *crop.Cultivar) int {
		return cmp.Or(crop.NaturalCompare(a.Name, b.Name), a.ID.Compare(b.ID))
	})
	for _, v := range cultivars {
		members := make([]plantBook, 0, len(groups[v.ID]))
		for _, i := range groups[v.ID] {
			if len(all[i].book.Visits) > 0 {
				members = append(members, all[i])
			}
		}
		r.add(Subject{Scope: ScopeCultivar, CultivarID: v.ID, Cultivar: v.Name}, members)
	}
	for _, b := range all {
		p := b.records
		r.add(Subject{Scope: ScopePlant, PlantID: p.Plant.ID, Plant: p.Plant.Label, CultivarID: p.Cultivar.ID, Cultivar: p.Cultivar.Name}, []plantBook{b})
	}
	return r
}

// originOf returns the start of the plant's first day, at the place where it began.
func originOf(p *crop.Plant, places crop.PlaceRefs) (time.Time, string) {
	place, _ := places.Place(p.PlaceID)
	if p.SownOn != nil {
		return p.SownOn.Start(place.Location()), "sowing"
	}
	if p.TransplantedOn != nil {
		return p.TransplantedOn.Start(place.Location()), "transplanting"
	}
	return time.Time{}, ""
}

// add fits every stage of a subject.
func (r *Result) add(s Subject, members []plantBook) {
	if len(members) == 0 {
		return
	}
	origin := slices.MinFunc(members, func(a, b plantBook) int { return a.origin.Compare(b.origin) })
	for stage, name := range members[0].book.Scale {
		s.Stage = name
		c, refusal := one(s, members, origin, stage)
		if refusal != nil {
			r.Refused = append(r.Refused, *refusal)
			continue
		}
		c.Warnings = append(c.Warnings, warnings(members, origin, stage)...)
		r.Curves = append(r.Curves, *c)
	}
}

// one fits one stage.
func one(s Subject, members []plantBook, origin plantBook, stage int) (*Curve, *Refusal) {
	books := make([]*ledger.Book, len(members))
	for i := range members {
		books[i] = members[i].book
	}
	observed := observe(books, stage, origin.origin)
	if why, yes := tooLittle(observed, s.Stage); yes {
		return nil, &Refusal{s, crop.InsufficientData, why}
	}
	f, err := fit(observed)
	if err != nil {
		code, why := reason(err, s.Stage)
		return nil, &Refusal{s, code, why}
	}
	if why, yes := f.unfinished(s.Stage); yes {
		return nil, &Refusal{s, crop.InsufficientData, why}
	}
	if first, second, two := f.twoFlushes(); two {
		return nil, &Refusal{s, crop.NoFit, fmt.Sprintf(
			"The counts show two flushes of %s, around %s and %s; one curve can't describe both.",
			s.Stage, dayName(f.at(origin.origin, first)), dayName(f.at(origin.origin, second)))}
	}
	return f.curve(s, origin), nil
}

func dayName(t time.Time) string { return t.Format("2 January 2006") }

func (f *fitted) at(origin time.Time, x float64) time.Time {
	return origin.Add(time.Duration(x * float64(day))).Round(time.Minute)
}

// curve turns a fit into its answer.
func (f *fitted) curve(s Subject, origin plantBook) *Curve {
	c := &Curve{Subject: s, Origin: origin.origin, OriginOf: origin.from, Family: f.sigmoid.Family(), Candidates: f.candidates,
		RestsOn: RestsOn{Visits: len(f.series.obs), Fruits: f.series.fruits(), Plants: f.series.plants}}
	if f.AICc != nil {
		c.AICc = *f.AICc
	}
	how, warning := f.spread(s)
	if warning != "" {
		c.Warnings = append(c.Warnings, warning)
	}
	for j, name := range f.Names {
		p := Parameter{Name: name, Value: f.Theta[j]}
		if how != nil {
			unit := make([]float64, len(f.Theta))
			unit[j] = 1
			if se, ok := how.standardError(unit, func(th []float64) float64 { return th[j] }); ok {
				p.SE = &se
			}
		}
		c.Parameters = append(c.Parameters, p)
	}
	c.T10, c.T50, c.T90 = f.crossingAt(0.10, origin.origin, how), f.crossingAt(0.50, origin.origin, how), f.crossingAt(0.90, origin.origin, how)
	if c.T90 == nil {
		c.Warnings = append(c.Warnings, fmt.Sprintf("Nine tenths of %s had not been reached at the last count, so t90 isn't given.", s.Stage))
	}
	if c.T10 == nil {
		c.Warnings = append(c.Warnings, fmt.Sprintf("A tenth of %s had been reached before the first count, so t10 isn't given.", s.Stage))
	}
	f.draw(c, origin.origin, how)
	return c
}

// spread chooses how the intervals are worked out.
func (f *fitted) spread(s Subject) (spread, string) {
	if s.Scope == ScopeCultivar && f.series.plants >= minPlantsForCultivar {
		if j, ok := f.plantSpread(); ok {
			return j, ""
		}
		return nil, "The curve hangs on single plants: without one of them it can't be fitted, so no interval is given."
	}
	i, ok := f.incrementSpread()
	if !ok {
		return nil, "Too few counts fall into the time of ripening to say how sure the curve is, so no interval is given."
	}
	if s.Scope == ScopeCultivar {
		return i, fmt.Sprintf("With %s the curve speaks of these plants, not of the cultivar: the intervals don't hold the differences between plants.", phrasePlants(f.series.plants))
	}
	return i, ""
}

func phrasePlants(n int) string {
	if n == 1 {
		return "one plant"
	}
	return fmt.Sprintf("%d plants", n)
}

// crossingAt is the crossing of a share, nil outside the days that were counted.
func (f *fitted) crossingAt(share float64, origin time.Time, how spread) *Crossing {
	x, grad, ok := f.crossing(share)
	if !ok || x < f.first().x || x > f.last().x {
		return nil
	}
	c := &Crossing{At: f.at(origin, x), Days: x}
	if how == nil {
		return c
	}
	half, ok := how.halfWidth(grad, func(th []float64) float64 {
		at, _ := f.sigmoid.Inverse(share, th, nil)
		return at
	})
	if ok && !math.IsInf(half, 0) {
		c.Low, c.High = new(x-half), new(x+half)
	}
	return c
}

// linePoints is how finely the fitted curve is drawn.
const linePoints = 60

func (f *fitted) draw(c *Curve, origin time.Time, how spread) {
	lo, hi := f.first().x, f.last().x
	for i := range linePoints + 1 {
		x := lo + (hi-lo)*float64(i)/linePoints
		p := LinePoint{At: f.at(origin, x), Days: x, Value: f.value(x)}
		if how != nil {
			half, ok := how.halfWidth(f.gradient(x), func(th []float64) float64 { return f.sigmoid.Value(x, th) })
			if ok && !math.IsInf(half, 0) {
				p.Low, p.High = new(math.Max(0, p.Value-half)), new(p.Value+half)
			}
		}
		c.Line = append(c.Line, p)
	}
	for _, p := range f.points {
		c.Observed = append(c.Observed, Observed{At: p.at, Days: p.x, Value: p.value, Plants: int(p.weight)})
	}
}
