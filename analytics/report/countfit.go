package report

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// NumberFit is one number of a count and what was expected.
type NumberFit = ripening.NumberFit

// How to read how counts fit.
const (
	ExpectedWords = ripening.ExpectedWords
	MisfitWords   = ripening.MisfitWords
)

// CultivarFit is how the counts of a cultivar's plants fit the ripening model.
type CultivarFit struct {
	Cultivar string
	ripening.FitSum
}

// fits leaves out each count in turn, of the plants or of the one.
func (a *Ahead) fits(m *ripening.Model, only *crop.ID) {
	all := m.CountFits(only)
	a.Misfits, a.CountFits = m.Misfits(all), map[crop.ID][]ripening.CountFit{}
	for i, counts := range all {
		a.CountFits[m.Plants[i].ID] = counts
	}
}

// CultivarFits are how the counts fit, by cultivar; of cultivars that have counts beyond the first ones.
func (s *Season) CultivarFits() []CultivarFit {
	var all []CultivarFit
	at := map[crop.ID]int{}
	for i := range s.Plants {
		r := &s.Plants[i].Records
		counts := s.Ahead.CountFits[r.Plant.ID]
		if len(counts) == 0 {
			continue
		}
		k, known := at[r.Cultivar.ID]
		if !known {
			k = len(all)
			at[r.Cultivar.ID] = k
			all = append(all, CultivarFit{Cultivar: r.Cultivar.Name})
		}
		all[k].Add(counts)
	}
	return all
}

// CountFits are the counts of a plant's report and how they fit, the oldest first.
func (r *OnePlant) CountFits() []ripening.CountFit {
	return r.Ahead.CountFits[r.Plant.Records.Plant.ID]
}

// Misfits are the counts of the report's plants that are far from what the others let expect, the least likely first.
func (s *Season) Misfits() []ripening.Misfit {
	return slices.DeleteFunc(slices.Clone(s.Ahead.Misfits), func(x ripening.Misfit) bool { return s.one && x.PlantID != s.Plants[0].Records.Plant.ID })
}

// FitSentence says how many counts don't fit; empty without counts beyond the first ones.
func (s *Season) FitSentence() string {
	counts := 0
	for _, c := range s.CultivarFits() {
		counts += c.Counts
	}
	if counts == 0 {
		return ""
	}
	all := s.Misfits()
	words := fmt.Sprintf("%s far from what the other records let expect", lies(len(all), counts))
	if s.one && len(all) > 0 {
		const most = 5
		var days []string
		for _, x := range all[:min(most, len(all))] {
			days = append(days, x.CountedAt.Words())
		}
		words += ": " + strings.Join(days, "; ")
		if n := len(all) - most; n > 0 {
			words += fmt.Sprintf("; and %d more", n)
		}
	}
	return words + "."
}

func lies(n, of int) string {
	switch {
	case n == 0 && of == 1:
		return "The one count doesn't lie"
	case n == 0:
		return fmt.Sprintf("None of %d counts lies", of)
	case of == 1:
		return "The one count lies"
	case n == 1:
		return fmt.Sprintf("One of %d counts lies", of)
	}
	return fmt.Sprintf("%d of %d counts lie", n, of)
}
