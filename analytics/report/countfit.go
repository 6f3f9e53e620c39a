package report

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// NumberFit is one number of a count and what was expected.
type NumberFit = ripening.NumberFit

// FitWords say how to read how counts fit.
const FitWords = ripening.FitWords

// CultivarFit is how the counts of a cultivar's plants fit the ripening model.
type CultivarFit struct {
	Cultivar string
	ripening.FitSum
}

// countFits are those of each plant.
func countFits(m *ripening.Model) map[crop.ID][]ripening.CountFit {
	by := map[crop.ID][]ripening.CountFit{}
	for i, counts := range m.CountFits() {
		by[m.Plants[i].ID] = counts
	}
	return by
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

// FitSentence says how many counts don't fit; empty without counts beyond the first ones.
func (s *Season) FitSentence() string {
	var sum ripening.FitSum
	for _, c := range s.CultivarFits() {
		sum.Counts, sum.Unlikely = sum.Counts+c.Counts, sum.Unlikely+c.Unlikely
	}
	if sum.Counts == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %s are further from what was expected than 19 in 20 should be.", sum.Unlikely, plural(sum.Counts, "count", "counts"))
}
