package report

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// Weekday writes a day with its weekday and without its year, which the report's own day tells: Thursday 29 Oct.
func Weekday(d crop.Date) string { return d.Noon(time.UTC).Format("Monday 2 Jan") }

// DayAhead is the day, so many days after a report's own, by which a number of newly ripe fruit is reached.
func (s *Season) DayAhead(days int) crop.Date { return crop.DateOf(s.AsOf).AddDays(days) }

// aheadWords say what will be ripe, when to pick, by when all of it is ripe, and what mustn't be picked yet.
func (s *Season) aheadWords() []Statement {
	if s.newlyRipe() == nil || s.barren() {
		return nil
	}
	ripe := s.ripeWords(1, NamedDays[1:])
	out := []Statement{{ripe, Plain}}
	if pick := s.pickWords(mostPicks, strings.Contains(ripe, levelled(""))); pick != "" {
		out = append(out, Statement{pick, Plain})
	} else if plan := &s.Ahead.Forecast.Plan; (plan.Left || plan.Unbelieved) && !s.one {
		out = append(out, Statement{plan.None(), Act})
	} else if plan.Waits && !s.one {
		out = append(out, Statement{plan.None(), Plain})
	}
	if all := s.toComeWords(); all != "" {
		out = append(out, Statement{all, Plain})
	}
	if s.Ahead.Forecast.Cold {
		out = append(out, Statement{forecast.Cold, Look})
	}
	for _, treated := range s.TreatedSentences() {
		out = append(out, Statement{treated, Look})
	}
	return out
}

// withAhead puts what will be ripe after what stands, and after what is past ripe where that wants doing.
func (s *Season) withAhead(fruit []Statement) []Statement {
	at := min(1, len(fruit))
	if len(fruit) > 1 && fruit[1].Level == Act {
		at = 2
	}
	return slices.Insert(fruit, at, s.aheadWords()...)
}

// RipeSentence says how many fruit will be ripe by some of the days ahead; empty without a forecast.
func (s *Season) RipeSentence() string {
	return s.ripeWords(len(NamedDays), NamedDays[:])
}

// ripeWords names the days by which there is something to tell, the first of them up to a number.
func (s *Season) ripeWords(most int, named []int) string {
	days := s.newlyRipe()
	if days == nil {
		return ""
	}
	var parts []string
	for _, n := range named {
		if len(parts) == most {
			break
		}
		d := days[n-1]
		if Rounded(d.Mean, 0) == "0" && n < len(days) {
			continue
		}
		about, between := Rounded(d.Mean, 0), interval(d)
		switch {
		case len(parts) == 0 && about == "0" && between == "0 to 0":
			return fmt.Sprintf("No more fruit is expected to be ripe by %s.", Weekday(s.DayAhead(n)))
		case len(parts) == 0 && about == "0":
			return fmt.Sprintf("Hardly any more fruit is expected to be ripe by %s (%s).", Weekday(s.DayAhead(n)), levelled(between))
		case len(parts) == 0:
			what := "more fruit"
			if most == 1 {
				what = "more" // it follows what stands
			}
			parts = append(parts, fmt.Sprintf("By %s about %s %s will be ripe (%s)", Weekday(s.DayAhead(n)), about, what, levelled(between)))
		default:
			parts = append(parts, fmt.Sprintf("by %s about %s (%s)", Weekday(s.DayAhead(n)), about, between))
		}
	}
	return strings.Join(parts, ", ") + "."
}

// barren tells that nothing stands and nothing is expected.
func (s *Season) barren() bool {
	return s.Totals.Standing != nil && *s.Totals.Standing == 0 && !s.moreToCome()
}

// moreToCome tells whether the forecast expects fruit to ripen.
func (s *Season) moreToCome() bool {
	days := s.newlyRipe()
	return days != nil && Rounded(days[len(days)-1].Mean, 0) != "0"
}

// interval writes the central interval of a forecast.
func interval(d forecast.Day) string {
	q := quantiles(d.Distribution)
	return fmt.Sprintf("%d to %d", q.Low, q.High)
}

func levelled(interval string) string {
	return fmt.Sprintf("%s %% interval %s", Rounded(100*forecast.Level, 0), interval)
}

// mostPicks is how many days of picking the answer names, the rest being a number if there is more than one. Only the first has its fruit told there.
const mostPicks = 2

// PickSentence says on which days to pick; empty if the plan has none.
func (s *Season) PickSentence() string { return s.pickWords(0, false) }

// pickWords names all days, or up to so many and one more. The level of the intervals is told unless a sentence before has told it.
func (s *Season) pickWords(most int, told bool) string {
	picks := s.Picks()
	if len(picks) == 0 {
		return ""
	}
	var days []string
	for _, p := range picks {
		day := Weekday(p.On)
		if !s.one && (most == 0 || len(days) == 0) { // the numbers of a plan are of all plants
			about, between := Rounded(p.Fruits.Mean, 0), fmt.Sprintf("%.0f to %.0f", p.Fruits.Low, p.Fruits.High)
			if len(days) == 0 {
				about = "about " + about
				if !told {
					about, between = about+" fruit", levelled(between)
				}
			}
			day += fmt.Sprintf(" (%s, %s)", about, between)
		}
		days = append(days, day)
	}
	if n := len(days) - most; most > 0 && n > 1 {
		days = append(days[:most], fmt.Sprintf("%d more days", n))
	}
	it := ""
	if s.one {
		it = " it"
	}
	return "Pick" + it + " on " + join(days, 0) + "."
}

// NothingAhead says why there is no forecast of a season that is still going on and in which a plant that stands was counted; empty otherwise.
func (s *Season) NothingAhead() string {
	if f := s.Ahead.Forecast; f == nil || s.Ahead.Coming() || s.Trial.Over() || !slices.ContainsFunc(s.Plants, func(p Plant) bool { return !p.Book.Removed && len(p.Book.Visits) > 0 }) {
		return ""
	}
	return s.Ahead.Forecast.Warnings[0]
}

// TreatedSentences name the plants that were treated and mustn't be picked yet, a sentence for each day on which they may be again.
func (s *Season) TreatedSentences() []string {
	if !s.Ahead.Coming() {
		return nil
	}
	today := crop.DateOf(s.AsOf)
	by := map[crop.Date][]string{}
	for i := range s.Plants {
		p := s.Plants[i].Records.Plant
		if until := s.Ahead.Blocked[p.ID]; until.After(today) && s.Ahead.PlantForecast(p.ID) != nil {
			by[until] = append(by[until], p.Label)
		}
	}
	var out []string
	for _, until := range slices.SortedFunc(maps.Keys(by), crop.Date.Compare) {
		n := len(by[until])
		out = append(out, fmt.Sprintf("%s %s treated: don't pick %s before %s.", join(by[until], mostNamed), verb(n, "was", "were"), verb(n, "it", "them"), Weekday(until)))
	}
	return out
}

// FewerExpectedSentence names the plants of which more is certainly past ripe, by complete records, than the model by itself expects; empty
// where there are none.
func (s *Season) FewerExpectedSentence() string {
	var names []string
	for i := range s.Plants {
		if _, raised := s.ExpectedPastRipe(&s.Plants[i].Records.Plant.ID); raised {
			names = append(names, s.Plants[i].Records.Plant.Label)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf("Of %s the model by itself expects fewer past ripe than are certain, since it takes it that some have fallen unseen; what is given here is no fewer than are certain.", join(names, mostNamed))
}

// HeldSentence says how often earlier forecasts held; empty where none were looked at.
func (s *Season) HeldSentence() string {
	h := s.Ahead.Held()
	n := len(h.Weeks)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("In %d of %d weeks the fruit that became ripe lay within the %s %% interval of the forecast made at the week's beginning; in all about %s were forecast, and %d became ripe.",
		h.Inside, n, Rounded(100*forecast.Level, 0), Rounded(h.Forecast, 0), h.Ripened)
}

// ResidenceSentence says whose times a forecast rests on; empty where there are none.
func (s *Season) ResidenceSentence() string {
	var own, tables []string
	for _, c := range s.forecastCultivars() {
		if c.FromTables {
			tables = append(tables, c.Name)
		} else {
			own = append(own, fmt.Sprintf("%s (%s)", c.Name, toldBy(&c)))
		}
	}
	var parts []string
	if len(own) > 0 {
		parts = append(parts, "learned from your own plants for "+join(own, 0))
	}
	if len(tables) > 0 {
		parts = append(parts, "still published ones for "+join(tables, 0)+", of which too little has ripened to tell")
	}
	if len(parts) == 0 {
		return ""
	}
	return fmt.Sprintf("How long fruit stay in each stage, in %s: %s.", s.Ahead.clockWords(), strings.Join(parts, "; "))
}

// clockWords name the days that residence times count.
func (a *Ahead) clockWords() string {
	if a.Forecast.Thermal {
		return "standard days"
	}
	return "calendar days"
}

// forecastCultivars are the cultivars that the report speaks of and the model knows times of.
func (s *Season) forecastCultivars() []forecast.Cultivar {
	if s.Ahead.Forecast == nil {
		return nil
	}
	var some []forecast.Cultivar
	for _, c := range s.Ahead.Forecast.Cultivars {
		if len(c.Residence) > 0 && c.RestsOn.Visits > 0 && (!s.one || s.Plants[0].Records.Plant.CultivarID == c.ID) {
			some = append(some, c)
		}
	}
	return some
}

// CountNextSentence says which plants to count next and why; empty where no count is worth it.
func (s *Season) CountNextSentence() string {
	var names []string
	for _, c := range s.CountNext() {
		names = append(names, c.Plant)
	}
	if len(names) == 0 {
		return ""
	}
	return fmt.Sprintf("A count of %s would sharpen the forecast most.", join(names, mostNamed))
}
