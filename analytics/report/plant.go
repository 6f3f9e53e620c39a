package report

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// OnePlant is the report of one plant. It is the season's report narrowed to the plant, so the two never disagree.
type OnePlant struct {
	*Season
	Plant Plant
	Diary []crop.DiaryEntry // of this plant, in order
}

// OfPlant makes the report of one plant, or returns a crop.NotFound error if the trial has no such plant, or
// hadn't at the moment that the report speaks of.
func OfPlant(full *crop.Trial, id crop.ID, o Options) (*OnePlant, error) {
	plant, ok := full.Plant(id)
	if !ok {
		return nil, crop.Errorf(crop.NotFound, "there is no plant %s in season %q", id, full.Season.Name)
	}
	s := prepare(full, o, &id)
	if len(s.Trial.Plants) == 0 {
		return nil, crop.NotYet(plant, s.AsOf)
	}
	if len(s.Plants) != 1 {
		return nil, crop.Errorf(crop.NotFound, "plant %s has no cultivar with a ripeness scale", id)
	}
	r := &OnePlant{Season: s, Plant: s.Plants[0]}
	s.Curves = s.clocks.Plants([]crop.PlantRecords{r.Plant.Records}, []ledger.Book{r.Plant.Book}, s.Trial)
	for _, d := range s.Trial.Diary {
		if d.PlantID != nil && *d.PlantID == id {
			r.Diary = append(r.Diary, d)
		}
	}
	s.Answer = s.withPeriod(r.answer())
	return r, nil
}

func (r *OnePlant) answer() []Statement {
	if r.nothing() && r.Plant.Book.Removed {
		return []Statement{{fmt.Sprintf("Nothing was counted on %s or picked from it before it was removed on %s.", r.Plant.Records.Plant.Label, r.Plant.Records.Plant.RemovedOn.Words()), Plain}}
	}
	if r.nothing() {
		return []Statement{{fmt.Sprintf("Nothing has been counted on %s or picked from it yet.", r.Plant.Records.Plant.Label), Plain}}
	}
	out := r.withAhead(r.fruitWords())
	scale := r.Plant.Records.Scale
	for i := range r.Curves.Curves {
		c := &r.Curves.Curves[i]
		if c.Stage != scale.RipeStage || c.T50 == nil {
			continue
		}
		out = append(out, halfRipe(c, "its fruit", c.OriginOf))
	}
	return append(out, r.disagreeWords()...)
}
