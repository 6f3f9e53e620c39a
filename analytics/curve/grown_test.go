package curve

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// grown is a simulated season as records: plants with counts of every stage and pickings of what was red.
type grown struct {
	plants   int
	visits   int
	fruit    int // a plant
	cultivar func(plant int) int
}

var sown = crop.Date{Year: 2026, Month: time.January, Day: 1}

// places has one place, in UTC.
type places struct{ zone string }

func (p places) Place(crop.ID) (*crop.Place, bool) { return &crop.Place{TimeZone: p.zone}, true }

// grow makes the records: fruit set around day 50, colour from day 90 on, and are picked at the first visit that finds
// them three days red.
func grow(g grown, rng *rand.Rand) ([]crop.PlantRecords, []ledger.Book) {
	scale := crop.DefaultScale()
	cultivars := map[int]*crop.Cultivar{}
	records := make([]crop.PlantRecords, 0, g.plants)
	for i := range g.plants {
		n := 0
		if g.cultivar != nil {
			n = g.cultivar(i)
		}
		if cultivars[n] == nil {
			cultivars[n] = &crop.Cultivar{ID: crop.ID{0: 9, 15: byte(n)}, Name: fmt.Sprintf("Cultivar %d", n+1)}
		}
		id := crop.ID{0: 1, 14: byte(i >> 8), 15: byte(i)}
		r := crop.PlantRecords{
			Plant:    &crop.Plant{ID: id, Label: fmt.Sprintf("P%d", i+1), CultivarID: cultivars[n].ID, SownOn: &sown},
			Cultivar: cultivars[n], Scale: &scale,
		}
		g.records(&r, 3*rng.NormFloat64(), rng)
		records = append(records, r)
	}
	return records, books(records)
}

func (g grown) records(r *crop.PlantRecords, early float64, rng *rand.Rand) {
	type life [4]float64 // the day on which a fruit reaches each stage
	lives := make([]life, g.fruit)
	for i := range lives {
		lives[i][0] = 55 + early + 7*rng.NormFloat64()
		lives[i][1] = lives[i][0] + 40 + 3*rng.NormFloat64()
		lives[i][2] = lives[i][1] + 2 + rng.Float64()
		lives[i][3] = lives[i][2] + 3 + 2*rng.Float64()
	}
	names := r.Scale.Names()
	for v := range g.visits {
		x := 40 + 90*float64(v)/float64(g.visits-1)
		at := crop.InstantMoment(sown.Start(time.UTC).Add(time.Duration(x * float64(day)).Round(time.Hour)))
		counts := map[string]int{names[0]: 0, names[1]: 0, names[2]: 0, names[3]: 0}
		picked := 0
		lives = slices.DeleteFunc(lives, func(l life) bool {
			stage := -1
			for s, reached := range l {
				if x >= reached {
					stage = s
				}
			}
			if stage >= 0 {
				counts[names[stage]]++
			}
			if x >= l[3]+3 {
				picked++
				return true
			}
			return false
		})
		r.Visits = append(r.Visits, crop.Visit{ID: crop.ID{0: 2, 1: byte(v)}, PlantID: r.Plant.ID, CountedAt: at, Counts: counts})
		if picked > 0 {
			r.Pickings = append(r.Pickings, crop.Picking{ID: crop.ID{0: 3, 1: byte(v)}, PlantID: &r.Plant.ID, PickedAt: at, Stage: names[3], Fruits: new(picked), Grade: crop.Marketable})
		}
	}
}

func books(records []crop.PlantRecords) []ledger.Book { return ledger.OfAll(records) }
