package charts

import (
	"fmt"

	"vinetally/analytics/report"
)

// cultivarsAheadSection has what is still to ripen of each cultivar and of all together; false of a plant and of one cultivar.
func cultivarsAheadSection(r *report.Season) (Section, bool) {
	all := r.CultivarsAhead()
	if all == nil {
		return Section{}, false
	}
	t := &Table{Stack: true, Caption: fmt.Sprintf("Fruit that have set and are still to ripen, by cultivar (mean and median day, each with its %s interval)", aheadLevel), Columns: []Column{
		{Name: "Cultivar"}, {Name: "Plants", Numeric: true}, {Name: "Still to come", Unit: unitFruit, Numeric: true}, {Name: "Half ripe by"}, {Name: "Nine tenths by"}, {Name: "The last by"}, {Name: "Next wave from about"},
	}}
	for _, c := range all {
		x := &c.ToCome
		t.Rows = append(t.Rows, []string{c.Name, whole(c.Plants), report.Expected(x.Mean, float64(x.Low), float64(x.High)), r.ByDay(x.Half), r.ByDay(x.Most), r.ByDay(x.Last), r.ByDay(x.NextFlush)})
	}
	return Section{
		Heading: "What is still to come, by cultivar", Table: t, Sentence: "How much of the fruit that have set is still to ripen on the plants, and by when.",
		Notes: []string{stillToComeNote + " The intervals of all together aren't the sums of the cultivars', since warm days hasten all fruit."},
	}, true
}

// stillToComeNote says what is in it and how far ahead it goes.
const stillToComeNote = "“Still to come” is what has set, isn't ripe and isn't expected to be picked or lost before it is, or to stay unripe where it is too cold; what is yet to set isn't in it. Days more than sixteen weeks ahead are left open, and no interval is given that would reach further; what is a lull and what a wave is a judgement."
