package report

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
	"vinetally/analytics/curve"
	"vinetally/analytics/germination"
)

// Methods is a paragraph for a trial report: what was done, with sources, of the parts that this report has. It is empty where
// nothing was counted.
func (s *Season) Methods() string {
	if s.Totals.Counted == 0 {
		return ""
	}
	var first, last crop.Date
	for i := range s.Trial.Visits {
		day := s.Trial.Visits[i].CountedAt.LocalDate()
		if first.IsZero() || day.Before(first) {
			first = day
		}
		if day.After(last) {
			last = day
		}
	}
	text := []string{fmt.Sprintf("Standing fruit were counted by ripeness stage on %s, %s from %s to %s. "+
		"The fruit that had ever reached a stage are those standing at or beyond it plus those picked or lost at or beyond it before the count.",
		plants(s.Totals.Counted), plural(s.Totals.Visits, "count", "counts"), first.Words(), last.Words())}
	if families := s.families(); families != "" {
		how := "from the increments between counts, with their dispersion"
		if !s.one {
			how += ", or with four plants or more by leaving out one plant at a time (jackknife; Efron and Tibshirani 1993)"
		}
		text = append(text, fmt.Sprintf("%s curves were fitted to it against %s by weighted least squares; the days of a tenth, half and nine tenths of their final level are averaged by Akaike weight (Burnham and Anderson 2002), "+
			"with 90 %% intervals %s.", families, s.dayWords(), how))
	}
	for i := range s.PlantCurves.Curves {
		if s.PlantCurves.Curves[i].Shrunken != nil {
			text = append(text, "Single plants' days of half were drawn towards their cultivar's by empirical Bayes (Morris 1983).")
			break
		}
	}
	text = append(text, "Fruit past ripe are a lower bound by arithmetic: ripe fruit of a count at least the hold time old, less all ripe fruit taken or missing since.")
	text = append(text, s.aheadMethods()...)
	text = append(text, s.massMethods()...)
	if !s.one {
		if s.Harvest.Waste.Share != nil {
			text = append(text, "The wasted share is ripe fruit lost by a cause other than thinning and clearing, and ripe culls, over all fruit that ripened; its interval is that of a ratio with plants as clusters (Cochran 1977).")
		}
		if len(s.Harvest.Lots) > 0 {
			text = append(text, "Shares of seedlings have Wilson's intervals (Wilson 1927), mean germination time is by the days of the counts (Ranal and Santana 2006).")
		}
		if slices.ContainsFunc(s.Harvest.Lots, func(l germination.Lot) bool { return l.Published != nil }) {
			text = append(text, "Beside them stands published emergence at the mean temperature of the air (Harrington and Minges 1954).")
		}
	}
	if s.clocks.Kind() == curve.ThermalClock || !s.one && len(s.Air) > 0 {
		text = append(text, "Standard days relate the rate of fruit growth at the air's temperature to that at 20 °C, by days from flower to ripe fruit at four temperatures (Adams, Cockshull and Cave 2001).")
	}
	text = append(text, "Growth stages follow the BBCH scale (Feller et al. 1995). Records were kept and analysed with vinetally.")
	return strings.Join(text, " ")
}

// massMethods say how masses were come by that nobody weighed by themselves.
func (s *Season) massMethods() []string {
	estimated, shared := false, false
	for i := range s.Harvest.Plants {
		g := &s.Harvest.Plants[i].Grams
		estimated, shared = estimated || g.Estimated > 0, shared || g.Shared()
	}
	var text []string
	if estimated {
		text = append(text, "Fruit that were not weighed were given the mean mass of fruit of the same cultivar and stage, of the same week where it was weighed twice, with intervals by Student's t from the variance between weighings.")
	}
	if shared {
		text = append(text, "Weighings of several plants were shared out by number of fruit, with the variance of a simple random sample (Cochran 1977).")
	}
	return text
}

// dayWords is what the curves count.
func (s *Season) dayWords() string {
	if s.clocks.Kind() == curve.ThermalClock {
		return "standard days"
	}
	return "the day"
}

// families names the families of curves that were tried.
func (s *Season) families() string {
	var names []string
	seen := map[string]bool{}
	for i := range s.Curves.Curves {
		for _, c := range s.Curves.Curves[i].Candidates {
			if !seen[c.Family] {
				seen[c.Family] = true
				names = append(names, familyWords(c.Family))
			}
		}
	}
	if len(names) == 0 {
		return ""
	}
	text := join(names, 0)
	return strings.ToUpper(text[:1]) + text[1:]
}

// familyWords writes a family that bears a person's name with a capital.
func familyWords(family string) string {
	switch family {
	case "gompertz", "weibull", "richards":
		return strings.ToUpper(family[:1]) + family[1:]
	}
	return family
}
