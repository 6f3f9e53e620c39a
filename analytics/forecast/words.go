package forecast

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ripening"
)

// Simulated is the sentence that goes with every forecast.
const Simulated = "The intervals are calibrated on simulated trials; ripe by forecast doesn't mean safe to eat: look first, and discard mouldy, leaking or fallen fruit."

const (
	longWithoutCount = 7 // days after which a forecast says how old its last count is
	mostSurprises    = 3
)

// warn gives a forecast its warnings, and its plants those of their records.
func (f *Forecast) warn(m *ripening.Model, o Options, w *weatherBook) {
	f.Surprises = m.Surprises()
	if len(f.Plants) == 0 {
		f.Warnings = []string{nothing(m)}
		return
	}
	f.Warnings = append(f.warnings(o, w), leftOut(m)...)
	for i := range f.Surprises {
		s := &f.Surprises[i]
		switch {
		case i < mostSurprises:
			f.Warnings = append(f.Warnings, Surprising(s))
		case i == mostSurprises:
			f.Warnings = append(f.Warnings, "More records than these disagree with the model.")
		}
		if at := slices.IndexFunc(f.Plants, func(p Plant) bool { return p.ID == s.PlantID }); at >= 0 {
			f.Plants[at].Warnings = append(f.Plants[at].Warnings, Surprising(s))
		}
	}
}

func (f *Forecast) warnings(o Options, w *weatherBook) []string {
	words := []string{Simulated}
	switch {
	case o.AirC != nil:
		words = append(words, fmt.Sprintf("It is taken to stay at %g °C, as you said, give or take 1 °C.", *o.AirC))
		words = append(words, hot(*o.AirC)...)
	default:
		words = append(words, w.words()...)
	}
	if f.Cold {
		words = append(words, Cold)
	}
	var tables []string
	for _, c := range f.Cultivars {
		if c.FromTables {
			tables = append(tables, c.Name)
		}
	}
	if len(tables) > 0 {
		words = append(words, "For "+list(tables)+" the times are published ones, not yet your plants': too little has ripened to tell.")
	}
	return words
}

// nothing says why there is no plant to forecast, and what would change that.
func nothing(m *ripening.Model) string {
	over, standing, counted, silent := false, 0, 0, 0
	for _, p := range m.Plants {
		over = over || p.Records.SeasonOver
		if p.Book.Removed {
			continue
		}
		standing++
		if p.Visits > 0 {
			counted++
		}
		if p.Silent {
			silent++
		}
	}
	const none = "There is nothing to forecast"
	switch {
	case len(m.Plants) == 0:
		return none + " yet: the season has no plants."
	case over:
		return none + ": the season is over."
	case standing == 0:
		return none + ": all plants have been removed."
	case counted == 0:
		return none + " yet: no plant that stands has been counted. One count of a plant by stage is enough to begin."
	case silent == counted:
		return fmt.Sprintf("%s: for more than %d days nothing was recorded of the plants that were counted, so what hangs on them isn't known. One count of a plant by stage is enough to begin again.", none, ripening.LongestSilence)
	}
	return none + ": the ripeness scale has no stage before the ripe one, so counts don't tell what will be ripe next."
}

// Surprising says what is surprising, and what to do about it.
func Surprising(s *ripening.Surprise) string {
	stage := s.Stage + " fruit"
	if s.Stage == "" {
		stage = "fruit in all"
	}
	if s.What == ripening.Counted {
		words := fmt.Sprintf("%s, %s: %.0f %s counted where about %.0f were expected. If it is wrong, or the count before it, mend it; as it is, it weighs less in the forecast.",
			s.Plant, s.At.Words(), s.Seen, stage, s.Expected)
		if s.Expected < 0.5 && s.Seen >= 1 {
			words += " If it is right, look at the plant's days of sowing and removal and at the temperatures of its place."
		}
		return words
	}
	words := fmt.Sprintf("%s, %s: %.0f %s %s where about %.0f can have hung by the count of %s. ", s.Plant, s.At.Words(), s.Seen, stage, s.What, s.Expected, s.CountedAt.Words())
	if s.Since {
		return words + "If a number is wrong, mend it."
	}
	return words + "If a number is wrong, mend it, or count the plant again: until then its forecast is unsure."
}

// None says why a plan has no picking.
func (p *Plan) None() string {
	days := fmt.Sprintf("the next %d days", p.Days)
	if p.Days == 1 {
		days = "the next day"
	}
	if p.SeasonEnds != nil {
		days = "the days up to the season's last, " + p.SeasonEnds.Words()
	}
	switch {
	case p.blocked:
		return "No plant may be picked in " + days + "."
	case p.noDay && !p.Left:
		return "None of the weekdays on which you pick is in " + days + "."
	case p.Left:
		return "No day of picking is left before the season ends on " + p.SeasonEnds.Words() + ", but ripe fruit hangs or will by then: pick it as soon as you can."
	case p.Unbelieved:
		return "Ripe fruit was counted where the forecast expects none to hang: look, and pick what is ripe."
	case p.Waits:
		return "Nothing has to be picked in " + days + ": what is ripe by then can hang longer."
	}
	return "Nothing to pick is expected in " + days + "."
}

// EndWords say where the season ends within the plan's days; empty where it doesn't.
func (p *Plan) EndWords() string {
	if p.SeasonEnds == nil {
		return ""
	}
	words := "The season ends on " + p.SeasonEnds.Words() + ", so nothing is planned after it."
	if p.Left && len(p.Picks) > 0 {
		words += " Fruit that becomes ripe after the last picking is left."
	}
	return words
}

// Basis says what a forecast rests on.
func (f *Forecast) Basis() string {
	count := func(n int, one, many string) string {
		if n == 1 {
			return "1 " + one
		}
		return fmt.Sprintf("%d %s", n, many)
	}
	air := "no temperatures, so that every day counts as one at 20 °C"
	switch r := f.RestsOn; {
	case r.WeatherDays > 0:
		air = "temperatures of the last " + count(r.WeatherDays, "day", "days")
	case r.MostWeatherDays > 0:
		air = "temperatures of the last " + count(r.MostWeatherDays, "day", "days") + ", but not of every place"
	case f.Thermal:
		air = "temperatures too few to tell how warm it will be"
	}
	set := ""
	if f.RestsOn.Fruits > 0 {
		set = fmt.Sprintf("on at least %d fruit that set, ", f.RestsOn.Fruits)
	}
	return fmt.Sprintf("The forecast rests on %s, %son %s, and on %s.",
		count(f.RestsOn.Visits, "count", "counts"), set, count(len(f.Plants), "plant that still stands", "plants that still stand"), air)
}

func list(names []string) string {
	if len(names) == 1 {
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

func plantWarnings(x *ripening.Outlook, asOf time.Time) []string {
	var words []string
	visits := x.Plant.Book.Visits
	last := visits[len(visits)-1].CountedAt
	if days := int(asOf.Sub(last.At).Hours() / 24); days >= longWithoutCount {
		words = append(words, fmt.Sprintf("The last count is %d days old; a new one would make the forecast surer.", days))
	}
	if len(visits) == 1 {
		words = append(words, "It rests on one count.")
	}
	return words
}

func cultivarWarnings(v *ripening.Cultivar, c *Cultivar) []string {
	var words []string
	if c.FromTables {
		words = append(words, "These are published times, not yet those of your plants.")
	}
	if n := len(v.Plants); n < 4 && !c.FromTables {
		plants := "1 plant"
		if n > 1 {
			plants = fmt.Sprintf("%d plants", n)
		}
		words = append(words, fmt.Sprintf("They rest on %s, so they say more about these than about the cultivar.", plants))
	}
	if v.Earlier > 0 {
		seasons := "an earlier season"
		if v.Earlier > 1 {
			seasons = fmt.Sprintf("%d earlier seasons", v.Earlier)
		}
		words = append(words, "What "+seasons+" told is taken into account.")
	}
	if !v.Converged() {
		words = append(words, "The search for the times ended early; they may be less exact than their intervals say.")
	}
	return words
}

// Blocked is, for plants that were treated, the first day on which they may be picked again: from diary entries, those of the whole season
// holding for every plant.
func Blocked(diary []crop.DiaryEntry, plants []crop.Plant) map[crop.ID]crop.Date {
	until := map[crop.ID]crop.Date{}
	later := func(id crop.ID, day crop.Date) {
		if known, ok := until[id]; !ok || day.After(known) {
			until[id] = day
		}
	}
	for i := range diary {
		d := &diary[i]
		if d.PickNotBefore == nil {
			continue
		}
		if d.PlantID != nil {
			later(*d.PlantID, *d.PickNotBefore)
			continue
		}
		for j := range plants {
			later(plants[j].ID, *d.PickNotBefore)
		}
	}
	return until
}
