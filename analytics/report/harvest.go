package report

import (
	"fmt"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/germination"
	"vinetally/analytics/waste"
	"vinetally/analytics/yield"
)

// Harvest is what was picked and what was wasted, by plant and cultivar, with the plants' milestones and how the seed came up.
type Harvest struct {
	Plants    []yield.Plant    // by label
	Cultivars []yield.Cultivar // none in a plant's report
	// Marketable is the mass of all marketable fruit, in a plant's report that of the plant.
	Marketable yield.Grams
	Waste      waste.Season
	Lots       []germination.Lot
}

// harvest works out everything of a season before it is narrowed to one plant: a mass that nobody weighed is estimated from the other
// plants of the cultivar.
func harvest(t *crop.Trial, asOf time.Time, holdDays *float64, only *crop.ID) Harvest {
	hold := 0.0
	if holdDays != nil {
		hold = *holdDays
	}
	h := Harvest{Plants: yield.Plants(t, asOf)}
	if only != nil {
		h.Plants = slices.DeleteFunc(h.Plants, func(p yield.Plant) bool { return p.Records.Plant.ID != *only })
		for i := range h.Plants {
			h.Marketable = h.Plants[i].Marketable
		}
		return h
	}
	h.Cultivars = yield.Cultivars(t, h.Plants)
	h.Marketable = yield.Marketable(t)
	h.Waste = waste.Of(t, asOf, hold)
	h.Lots = germination.Lots(t)
	return h
}

// WasteWords says what share of the ripe fruit was wasted; empty if nothing ripened.
func (s *Season) WasteWords() string {
	w := &s.Harvest.Waste
	if w.Share == nil {
		return ""
	}
	if w.Ripened == 1 {
		if w.Wasted == 0 {
			return "The one fruit that ripened wasn't wasted so far."
		}
		return "The one fruit that ripened was wasted: lost ripe by a cause other than thinning and clearing, or picked as a cull."
	}
	if w.Wasted == 0 {
		return fmt.Sprintf("Of the %d fruit that ripened none was wasted so far.", w.Ripened)
	}
	text := fmt.Sprintf("Of the %d fruit that ripened, %d (%s %%", w.Ripened, w.Wasted, Rounded(100*w.Share.Value, 0))
	if w.Share.Low != nil {
		text += fmt.Sprintf("; 90 %% interval over plants %s – %s %%", Rounded(100**w.Share.Low, 0), Rounded(100**w.Share.High, 0))
	}
	return text + ") " + verb(w.Wasted, "was", "were") + " wasted: lost ripe by a cause other than thinning and clearing, or picked as culls. Fruit that hangs past ripe now is not among them."
}
