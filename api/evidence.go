package api

import (
	"context"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// mostPlantsChecked is how many plants of one request are looked at for contradictions; more would make a large batch
// slow, and whoever sends one can read the ledgers afterwards.
const mostPlantsChecked = 8

// witness looks for what the records that are written and those they join can't all be right about. Records are evidence: they
// are stored whatever they contradict, and the contradiction is told. Told is what wouldn't be there, or would be smaller,
// without the records written, apart from differences that miscounting explains.
type witness struct {
	missing  func(error) // called where the evidence can't be had: the records are stored all the same, only this advice isn't
	plants   []crop.ID
	items    map[crop.ID][]int // the outcomes of each plant
	warnings [][]string        // of each outcome
}

func (s *server) witness(ctx context.Context) *witness {
	return &witness{missing: func(err error) { s.log.WarnContext(ctx, "ledger after a write", "error", err) }}
}

// Plants makes a witness a crop.Witness.
func (w *witness) Plants(written []crop.Outcome) []crop.ID {
	w.plants, w.items, w.warnings = nil, map[crop.ID][]int{}, nil
	for i, out := range written {
		plant, ok := countedPlant(out.Record)
		if !ok || out.Deleted {
			continue
		}
		if w.items[plant] == nil {
			w.plants = append(w.plants, plant)
		}
		w.items[plant] = append(w.items[plant], i)
	}
	if len(w.plants) > mostPlantsChecked {
		return nil
	}
	return w.plants
}

// Consider makes the warnings.
func (w *witness) Consider(written []crop.Outcome, evidence []*crop.Trial, err error) {
	if err != nil {
		w.missing(err)
		return
	}
	w.warnings = make([][]string, len(written))
	for i, plant := range w.plants {
		w.consider(plant, written, evidence[i])
	}
}

// warningsOf are the warnings about an outcome.
func (w *witness) warningsOf(outcome int) []string {
	if w.warnings == nil {
		return nil
	}
	return w.warnings[outcome]
}

// countedPlant returns the plant whose fruit a record accounts for.
func countedPlant(r crop.Record) (plant crop.ID, ok bool) {
	switch r := r.(type) {
	case *crop.Visit:
		return r.PlantID, true
	case *crop.Picking:
		if r.PlantID != nil {
			return *r.PlantID, true
		}
	case *crop.Loss:
		if r.PlantID != nil {
			return *r.PlantID, true
		}
	}
	return crop.ID{}, false
}

func (w *witness) consider(plant crop.ID, written []crop.Outcome, trial *crop.Trial) {
	all := trial.ByPlant()
	at := slices.IndexFunc(all, func(r crop.PlantRecords) bool { return r.Plant.ID == plant })
	if at < 0 {
		return
	}
	r, items := all[at].UnitsOpen(), w.items[plant]
	told := slices.DeleteFunc(ledger.Of(r).Contradictions, func(x ledger.Contradiction) bool { return x.WithinAllowance })
	if len(told) == 0 {
		return
	}
	fresh := map[crop.ID]bool{}
	for _, i := range items {
		fresh[written[i].Record.Identity()] = true
	}
	before := ledger.Of(withoutRecords(r, fresh))
	for _, x := range told {
		if knownBefore(x, before.Contradictions) {
			continue
		}
		i := items[len(items)-1]
		if own := slices.IndexFunc(items, func(i int) bool { return written[i].Record.Identity() == x.VisitID }); own >= 0 {
			i = items[own]
		}
		w.warnings[i] = append(w.warnings[i], x.Detail)
	}
}

// knownBefore tells whether a contradiction was there without the records written and was no smaller: of the same kind, at
// the same count (or at its moment, since the first of several rows of one time may be another by now), of the same stage.
func knownBefore(x ledger.Contradiction, before []ledger.Contradiction) bool {
	return slices.ContainsFunc(before, func(y ledger.Contradiction) bool {
		at := x.VisitID == y.VisitID || x.At.At.Equal(y.At.At)
		return x.Code == y.Code && at && x.Stage == y.Stage && x.Fruits <= y.Fruits && !y.WithinAllowance
	})
}

// withoutRecords is the records of a plant apart from some.
func withoutRecords(r crop.PlantRecords, some map[crop.ID]bool) crop.PlantRecords {
	r.Visits = slices.DeleteFunc(slices.Clone(r.Visits), func(v crop.Visit) bool { return some[v.ID] })
	r.Pickings = slices.DeleteFunc(slices.Clone(r.Pickings), func(p crop.Picking) bool { return some[p.ID] })
	r.Losses = slices.DeleteFunc(slices.Clone(r.Losses), func(l crop.Loss) bool { return some[l.ID] })
	return r
}
