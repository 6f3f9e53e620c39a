package ripening

import (
	"time"

	"vinetally/analytics/crop"
	"vinetally/analytics/internal/parallel"
	"vinetally/analytics/ledger"
)

// Model is what the records of a season say of how its fruit ripen, up to a moment.
type Model struct {
	AsOf      time.Time
	Clocks    *Clocks
	Cultivars []*Cultivar // in the order of their first plants
	Plants    []*Plant    // in the order of the trial's
}

// Cultivar is what its plants say together.
type Cultivar struct {
	ID     crop.ID
	Name   string
	Stages []string // of its scale, up to the ripe one
	Plants []*Plant // those with records
	// Earlier is how many earlier seasons of the cultivar sharpened what was taken for granted.
	Earlier int
	fit     *fit
}

// Plant is one plant of the model.
type Plant struct {
	ID       crop.ID
	Label    string
	Cultivar *Cultivar // nil without a scale that has a stage before the ripe one
	Records  crop.PlantRecords
	Book     ledger.Book
	Visits   int
	// Gone tells that the plant was removed, or never counted, or is Silent, that the season is over or that it has no cultivar or stages: nothing will
	// ripen on it that the model knows of.
	Gone bool
	// Silent tells that nothing was recorded of it for LongestSilence, so that its fruit are anybody's guess.
	Silent  bool
	history *History
	index   int // among the cultivar's histories
}

// Of fits the model to a trial that was cut to asOf (crop.Trial.AsOf); books are the ledgers of its plants, in the order of
// ByPlant. Earlier seasons, whole and the oldest first, sharpen the prior of the cultivars they share by name.
func Of(t *crop.Trial, records []crop.PlantRecords, books []ledger.Book, asOf time.Time, earlier []*crop.Trial) *Model {
	m := of(t, records, books, asOf)
	for _, v := range m.Cultivars {
		prior := PublishedPrior(len(v.Stages) - 1)
		if len(earlier) > 0 {
			prior, v.Earlier = sharpened(prior, v, earlier)
		}
		v.fit = fitPlants(len(v.Stages)-1, prior, v.histories())
	}
	return m
}

// of puts the records in order and fits nothing.
func of(t *crop.Trial, records []crop.PlantRecords, books []ledger.Book, asOf time.Time) *Model {
	m := &Model{AsOf: asOf, Clocks: NewClocks(t.Temperatures, t)}
	known := map[crop.ID]*Cultivar{}
	var counted []*Plant
	var ends []time.Time // by counted plant, up to when it is followed
	for i := range records {
		r, b := &records[i], &books[i]
		p := &Plant{ID: b.PlantID, Label: b.Plant, Records: *r, Book: *b, Visits: len(b.Visits)}
		p.Gone = b.Removed || r.SeasonOver || len(b.Visits) == 0
		m.Plants = append(m.Plants, p)
		if r.Cultivar == nil || b.Ripe < 1 {
			p.Gone = true
			continue
		}
		v := known[r.Cultivar.ID]
		if v == nil {
			v = &Cultivar{ID: r.Cultivar.ID, Name: r.Cultivar.Name, Stages: b.Scale[:b.Ripe+1]}
			known[v.ID] = v
			m.Cultivars = append(m.Cultivars, v)
		}
		p.Cultivar = v
		if len(b.Visits) > 0 {
			until := m.ends(t, r, b)
			if silent := lastEvent(b).AddDate(0, 0, LongestSilence); asOf.After(silent) {
				p.Gone, p.Silent = true, true
				if silent.Before(until) {
					until = silent
				}
			}
			p.index = len(v.Plants)
			counted, ends = append(counted, p), append(ends, until)
			v.Plants = append(v.Plants, p)
		}
	}
	parallel.Each(len(counted), func(i int) { counted[i].history = NewHistory(counted[i].Records, &counted[i].Book, m.Clocks, ends[i]) })
	return m
}

// ends is up to when a counted plant's fruit are followed: to the end of the day on which it was removed or of the season's last, if that is past.
func (m *Model) ends(t *crop.Trial, r *crop.PlantRecords, b *ledger.Book) time.Time {
	until, zone := m.AsOf, m.Clocks.location(r.Plant.PlaceID)
	for _, last := range []struct {
		on   *crop.Date
		past bool
	}{{r.Plant.RemovedOn, b.Removed}, {t.Season.LastDay, r.SeasonOver}} {
		if !last.past || last.on == nil {
			continue
		}
		if end := last.on.AddDays(1).Start(zone); end.Before(until) {
			until = end
		}
	}
	return until
}

// LongestSilence is after how many days without a record a plant is no longer followed (a judgement).
const LongestSilence = 60

// lastEvent is the moment of the last count, picking or loss of a plant that was counted.
func lastEvent(b *ledger.Book) time.Time {
	last := b.Visits[len(b.Visits)-1].CountedAt.At
	for i := range b.Removals {
		if at := b.Removals[i].At.At; at.After(last) {
			last = at
		}
	}
	return last
}

func (v *Cultivar) histories() []*History {
	all := make([]*History, len(v.Plants))
	for i, p := range v.Plants {
		all[i] = p.history
	}
	return all
}

// seasonSD is how far the log residence times of a cultivar differ from one season to the next (a judgement).
const seasonSD = 0.05

// sharpened is the prior after a cultivar's earlier seasons: each one's posterior, widened by what sets seasons apart, is the next one's
// prior. What depends on who counts (overlooking, confusing, what goes unwritten) is carried over in the same way.
func sharpened(prior Prior, v *Cultivar, earlier []*crop.Trial) (Prior, int) {
	seasons := 0
	for _, t := range earlier {
		records := t.ByPlant()
		var histories []*History
		var clocks *Clocks
		for i := range records {
			r := &records[i]
			if r.Cultivar == nil || r.Cultivar.Name != v.Name || len(r.Visits) == 0 {
				continue
			}
			b := ledger.Of(*r)
			if b.Ripe != len(v.Stages)-1 {
				continue
			}
			if clocks == nil {
				clocks = NewClocks(t.Temperatures, t)
			}
			histories = append(histories, NewHistory(*r, &b, clocks, b.Visits[len(b.Visits)-1].CountedAt.At))
		}
		if len(histories) == 0 {
			continue
		}
		seasons++
		prior = fitPlants(prior.unripe(), prior, histories).next()
	}
	return prior, seasons
}
