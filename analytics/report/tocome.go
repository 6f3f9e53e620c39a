package report

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/forecast"
)

// ToCome is what is still to become ripe on the report's plants; nil where nothing is.
func (s *Season) ToCome() *forecast.ToCome {
	if !s.Ahead.Coming() {
		return nil
	}
	t := s.Ahead.Forecast.ToCome
	if s.one {
		p := s.Ahead.PlantForecast(s.Plants[0].Records.Plant.ID)
		if p == nil {
			return nil
		}
		t = &p.ToCome
	}
	if t == nil || t.High == 0 {
		return nil
	}
	return t
}

// ToComeSentence says how many fruit are still to ripen, by when, and when a next wave begins; empty where none are.
func (s *Season) ToComeSentence() string {
	t := s.ToCome()
	if t == nil {
		return ""
	}
	if t.Unlikely {
		return fmt.Sprintf("More likely than not none of the fruit %s is still to ripen (%s). Fruit that is yet to set isn't in this.", HaveSet(t), levelled(fmt.Sprintf("%d to %d", t.Low, t.High)))
	}
	words := fmt.Sprintf("In all %s still to ripen (%s)%s.", aboutFruit(t), levelled(fmt.Sprintf("%d to %d", t.Low, t.High)), s.RipeByWords(t))
	switch x := t.LastDay; {
	case x == nil || Rounded(x.Mean, 0) == Rounded(t.Mean, 0):
	case x.High == 0:
		words += fmt.Sprintf(" By the season's last day, %s, none of it is ripe.", shortDate(x.On))
	case Rounded(x.Mean, 0) == "0":
		words += fmt.Sprintf(" By the season's last day, %s, hardly any of it is ripe (%d to %d).", shortDate(x.On), x.Low, x.High)
	default:
		words += fmt.Sprintf(" By the season's last day, %s, about %s of them are ripe (%d to %d).", shortDate(x.On), Rounded(x.Mean, 0), x.Low, x.High)
	}
	if x := t.NextFlush; !x.On.IsZero() {
		words += " After a lull the next wave begins about " + s.shortDay(x.On)
		if !x.Low.IsZero() {
			words += ", between " + twoDays(s.shortDay(x.Low), " and ", s.shortDay(x.High))
		}
		words += "."
	}
	return words + " Fruit that is yet to set isn't in this."
}

// aboutFruit says how many there are.
func aboutFruit(t *forecast.ToCome) string {
	n := Rounded(t.Mean, 0)
	switch {
	case n == "1":
		return "about one of the fruit " + HaveSet(t) + " is"
	case Unseen(t):
		return fmt.Sprintf("about %s fruit %s are", n, HaveSet(t))
	}
	return fmt.Sprintf("about %s of the fruit %s are", n, HaveSet(t))
}

// Unseen tells that nobody saw most of what is to come: it may have set since the counts.
func Unseen(t *forecast.ToCome) bool { return t.Unseen > t.Mean/2 }

// HaveSet says of what is to come that it has set, or may have.
func HaveSet(t *forecast.ToCome) string {
	if Unseen(t) {
		return "that may have set"
	}
	return "that have set"
}

// most is the share of what is to come that is as good as all of it.
const most = 0.9

// vague is how many days the interval of a day may be wide at most for the answer to name it.
const vague = 28

// toComeWords say how much is to come in all and by when it is ripe: how much by the season's last day, if that is less than most, or else the furthest
// day that is known well enough, or, where nothing is ripe yet by the days that the answer names, the first. Empty of a single fruit, where there may be
// none, and in a plant's report.
func (s *Season) toComeWords() string {
	t := s.ToCome()
	if t == nil || s.one || t.Low == 0 || Rounded(t.Mean, 0) == "1" {
		return ""
	}
	switch x := t.LastDay; {
	case x == nil || x.Mean >= most*t.Mean:
	case x.High == 0:
		return fmt.Sprintf("None of %s to come will be ripe by the season's end, %s.", Rounded(t.Mean, 0), shortDate(x.On))
	case Rounded(x.Mean, 0) == "0":
		return fmt.Sprintf("Hardly any of %s to come will be ripe by the season's end, %s (%d to %d).", Rounded(t.Mean, 0), shortDate(x.On), x.Low, x.High)
	default:
		return fmt.Sprintf("About %s of %s to come will be ripe by the season's end, %s (%d to %d).", Rounded(x.Mean, 0), Rounded(t.Mean, 0), shortDate(x.On), x.Low, x.High)
	}
	words := fmt.Sprintf("About %s more of what has set will ripen (%d to %d)", Rounded(t.Mean, 0), t.Low, t.High)
	told := []shareRipe{{"the last", t.Last}, {"nine tenths of them", t.Most}, {"half of them", t.Half}}
	if !s.moreToCome() {
		told = []shareRipe{{"the first", t.First}}
	}
	for _, x := range told {
		if low, high := x.by.Low, x.by.High; !low.IsZero() && !high.After(low.AddDate(0, 0, vague)) {
			return words + ", " + x.name + " by " + s.shortDay(x.by.On) + " (" + twoDays(s.shortDay(low), " to ", s.shortDay(high)) + ")."
		}
	}
	return words + "."
}

// CultivarAhead is what is still to become ripe on a cultivar's plants.
type CultivarAhead struct {
	Name   string
	Plants int // in the forecast
	ToCome forecast.ToCome
}

// CultivarsAhead are the cultivars of which fruit is still to ripen, in the order of their first plants, and at last all together; nil where there are fewer than two.
func (s *Season) CultivarsAhead() []CultivarAhead {
	all := s.ToCome()
	if all == nil || s.one {
		return nil
	}
	plants := map[crop.ID]int{}
	for i := range s.Ahead.Forecast.Plants {
		plants[s.Ahead.Forecast.Plants[i].CultivarID]++
	}
	var some []CultivarAhead
	for _, c := range s.Ahead.Forecast.Cultivars {
		if c.ToCome != nil && c.ToCome.High > 0 {
			some = append(some, CultivarAhead{c.Name, plants[c.ID], *c.ToCome})
		}
	}
	if len(some) < 2 {
		return nil
	}
	return append(some, CultivarAhead{"All", len(s.Ahead.Forecast.Plants), *all})
}
