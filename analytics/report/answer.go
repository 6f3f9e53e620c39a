package report

import (
	"cmp"
	"fmt"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// answer puts the season's answer into words: what stands, what was picked, what was lost, what is past ripe and where,
// when the cultivars ripened, and what to look at in the records.
func (s *Season) answer() []Statement {
	if s.nothing() {
		return []Statement{{"Nothing has been counted or picked yet. Record a count of one plant to begin.", Plain}}
	}
	return slices.Concat(s.withAhead(s.fruitWords()), s.halfWords(), s.disagreeWords())
}

// halfWords say when half had ripened, once there is nothing to forecast: before, half isn't half of the crop.
func (s *Season) halfWords() []Statement {
	if s.newlyRipe() != nil {
		return nil
	}
	return s.ripeningWords()
}

// nothing tells that there is no record of any fruit.
func (s *Season) nothing() bool {
	return s.Totals.Counted == 0 && len(s.Trial.Pickings) == 0 && len(s.Trial.Losses) == 0
}

// fruitWords say what became of the fruit. What is past ripe is not spoken of before the first count, and comes early where it wants
// doing.
func (s *Season) fruitWords() []Statement {
	out := slices.Concat([]Statement{s.standingWords(), s.pickedWords()}, s.valueWords(), []Statement{s.lostWords()}, s.leftWords())
	if s.Totals.Counted == 0 {
		return out
	}
	past := s.pastRipeWords()
	if past.Level == Act {
		return slices.Insert(out, 1, past)
	}
	return append(out, past)
}

func (s *Season) disagreeWords() []Statement {
	n := s.Totals.Contradictions
	if n == 0 {
		return nil
	}
	return []Statement{{fmt.Sprintf("Records disagree in %s: see “Records to look at”.", plural(n, "place", "places")), Look}}
}

func (s *Season) pickedWords() Statement {
	y := s.Yield
	if y.Fruits == 0 && y.Uncounted == 0 {
		return Statement{"Nothing has been picked yet.", Plain}
	}
	uncounted := ""
	if y.Uncounted > 0 {
		uncounted = fmt.Sprintf("; %s weighed without counting the fruit", wasWere(y.Uncounted))
	}
	if y.Fruits == 0 {
		return Statement{Grams(y.MassG) + " have been picked" + uncounted + ".", Plain}
	}
	text := fruit(y.Fruits, "has been picked", "have been picked")
	switch {
	case y.Weighed == 0 && y.Uncounted == 0:
		text += verb(y.Fruits, "; it was not weighed", "; none were weighed")
	case y.Weighed == y.Fruits && y.Uncounted == 0:
		text += ", " + Grams(y.MassG) + verb(y.Fruits, "", " in all")
	case y.Uncounted > 0:
		text += ", " + Grams(y.MassG) + " weighed" + uncounted
	default:
		text += fmt.Sprintf("; the %d weighed %s to %s", y.Weighed, verb(y.Weighed, "comes", "come"), Grams(y.MassG))
	}
	if y.Culls > 0 {
		text += fmt.Sprintf("; %d %s", y.Culls, verb(y.Culls, "was a cull", "were culls"))
	}
	return Statement{text + ".", Plain}
}

func (s *Season) lostWords() Statement {
	t := s.Totals
	if t.Lost == 0 && t.Cleared == 0 {
		return Statement{"No losses have been recorded.", Plain}
	}
	if t.Lost == 0 {
		return Statement{fmt.Sprintf("No fruit was lost; %d %s cleared with %s.", t.Cleared, verb(t.Cleared, "was", "were"), s.theirPlant(t.Cleared)), Plain}
	}
	text := fruit(t.Lost, "was lost", "were lost") + s.causesWords()
	if t.Cleared > 0 {
		text += fmt.Sprintf("; %d more %s cleared with %s", t.Cleared, verb(t.Cleared, "was", "were"), s.theirPlant(t.Cleared))
	}
	return Statement{text + ".", Plain}
}

// mostCauses is how many causes of loss the answer lists; of more it names the one that took most.
const mostCauses = 3

// causesWords says what took the fruit, but for clearing.
func (s *Season) causesWords() string {
	by := slices.DeleteFunc(slices.Clone(s.Losses), func(l CauseLoss) bool { return l.Cause == crop.Cleared })
	if len(by) > mostCauses {
		most := slices.MaxFunc(by, func(a, b CauseLoss) int { return cmp.Compare(a.Ripe+a.Unripe, b.Ripe+b.Unripe) })
		return fmt.Sprintf(", %d of them %s", most.Ripe+most.Unripe, causeWords(most.Cause))
	}
	if len(by) == 1 {
		return verb(by[0].Ripe+by[0].Unripe, ": ", ", all of them ") + causeWords(by[0].Cause)
	}
	var parts []string
	for _, l := range by {
		parts = append(parts, fmt.Sprintf("%d %s", l.Ripe+l.Unripe, causeWords(l.Cause)))
	}
	return ": " + join(parts, 0)
}

// theirPlant names the plants that n cleared fruit hung on.
func (s *Season) theirPlant(n int) string {
	if s.one {
		return "the plant"
	}
	cleared := 0
	for i := range s.Plants {
		if slices.ContainsFunc(s.Plants[i].Book.Totals.LostByCause, func(c ledger.CauseCount) bool { return c.Cause == crop.Cleared }) {
			cleared++
		}
	}
	if cleared > 1 {
		return "their plants"
	}
	return verb(n, "its plant", "their plant")
}

// leftWords say what stood on plants when they were removed and is on no record since.
func (s *Season) leftWords() []Statement {
	n := s.Totals.Left
	if n == 0 {
		return nil
	}
	if s.one {
		return []Statement{{fmt.Sprintf("%s on it when it was removed and %s recorded neither as picked nor as lost: record %s as picked, or as cleared.",
			fruit(n, "was left", "were left"), verb(n, "is", "are"), verb(n, "it", "them")), Look}}
	}
	var on []string
	for _, p := range s.Plants {
		if left := p.Book.Totals.LeftAtRemoval; left != nil && *left > 0 {
			on = append(on, fmt.Sprintf("%s (%d)", p.Records.Plant.Label, *left))
			if *left == n {
				on = []string{p.Records.Plant.Label} // all of them
			}
		}
	}
	return []Statement{{fmt.Sprintf("%s on %s when %s removed, and %s recorded neither as picked nor as lost: record %s as picked, or as cleared.",
		fruit(n, "was left", "were left"), join(on, mostNamed), verb(len(on), "it was", "they were"), verb(n, "is", "are"), verb(n, "it", "them")), Look}}
}

func (s *Season) pastRipeWords() Statement {
	var hold string
	switch {
	case s.oneHold():
		hold = "ripe for longer than " + Days(s.Plants[0].PastRipe.HoldDays) + " days"
	case s.PastRipe.Certain <= 1:
		hold = "past its hold time"
	default:
		hold = "past their hold time"
	}
	n := s.PastRipe.Certain
	if n == 0 {
		return Statement{fmt.Sprintf("No fruit is certain to have hung %s.", hold), Plain}
	}
	if s.one {
		return Statement{fmt.Sprintf("At least %d of its fruit %s hung %s%s.", n, verb(n, "has", "have"), hold, ifComplete), Act}
	}
	var on []Plant
	for _, p := range s.Plants {
		if p.PastRipe.Certain > 0 {
			on = append(on, p)
		}
	}
	slices.SortStableFunc(on, func(a, b Plant) int { return cmp.Compare(b.PastRipe.Certain, a.PastRipe.Certain) })
	names := make([]string, len(on))
	for i, p := range on {
		names[i] = fmt.Sprintf("%s (%d)", p.Records.Plant.Label, p.PastRipe.Certain)
	}
	if len(on) == 1 {
		names[0] = on[0].Records.Plant.Label // all of them
	}
	return Statement{fmt.Sprintf("At least %s hung %s, on %s%s.", fruit(n, "has", "have"), hold, join(names, mostNamed), ifComplete), Act}
}

// ifComplete goes with every number of fruit that is certainly past ripe: a picking that wasn't written down breaks it.
const ifComplete = ", if the records are complete"

// mostNamed is how many plants a sentence of the answer names.
const mostNamed = 4

func (s *Season) oneHold() bool {
	return !slices.ContainsFunc(s.Plants, func(p Plant) bool { return p.PastRipe.HoldDays != s.Plants[0].PastRipe.HoldDays })
}

func causeWords(c crop.Cause) string {
	if c == crop.OtherWay {
		return "to other causes"
	}
	switch c {
	case crop.Pest:
		return "to pests"
	case crop.Disease:
		return "to disease"
	}
	return string(c)
}
