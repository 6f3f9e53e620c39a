package storagetest

import (
	"encoding/json"
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

func fromText(s string, into crop.Record) error { return json.Unmarshal([]byte(s), into) }

// inUTC is a record's text with its moment in UTC.
func inUTC(r crop.Record) string {
	copied := crop.New(r.RecordKind())
	if err := fromText(text(r), copied); err != nil {
		return err.Error()
	}
	var m *crop.Moment
	switch c := copied.(type) {
	case *crop.Visit:
		m = &c.CountedAt
	case *crop.Picking:
		m = &c.PickedAt
	}
	if m != nil && m.TimeKnown() {
		*m = m.In(time.UTC)
	}
	return text(copied)
}

// poolID is one of few ids of a kind, so that changes meet each other.
func poolID(kind crop.Kind, n int) crop.ID {
	return crop.ID{0: byte(len(kind)), 1: kind[0], 6: 0x80, 8: 0x80, 15: byte(n + 1)}
}

func drawID(rt *rapid.T, kind crop.Kind, size int) crop.ID {
	return poolID(kind, rapid.IntRange(0, size-1).Draw(rt, string(kind)))
}

// drawChange makes a change from few ids, names, days and contents: mostly sensible, often clashing.
func drawChange(rt *rapid.T, m *model) crop.Change {
	c := crop.Change{Record: drawRecord(rt)}
	n := nameOf(c.Record)
	latest, there := m.latest(n)
	c.Delete = one(rt, 6, "delete") && (there || one(rt, 6, "delete nothing"))
	switch rapid.IntRange(0, 11).Draw(rt, "base") {
	case 0:
		c.Base = new(int64(0))
	case 1:
		c.Base = new(max(0, latest.Version-1))
	case 2, 3, 4, 5:
		c.Base = new(latest.Version)
	}
	// Now and then an old version comes again.
	if all := m.versions[n]; len(all) > 0 && one(rt, 5, "again") {
		old := all[rapid.IntRange(0, len(all)-1).Draw(rt, "old")]
		again := crop.New(n.kind)
		if err := fromText(text(old.Record), again); err != nil {
			rt.Fatalf("copy: %v", err)
		}
		c.Record = again
	}
	return c
}

// one is true one time in n.
func one(rt *rapid.T, n int, what string) bool { return rapid.IntRange(1, n).Draw(rt, what) == n }

// startingRecords fill the pools, so that most changes have something to refer to.
func startingRecords() (all []crop.Change) {
	for i, word := range []string{"fir", "gorse"} {
		all = append(all, puts(&crop.Season{ID: poolID(crop.Seasons, i), Name: word}, &crop.Place{ID: poolID(crop.Places, i), Name: word},
			&crop.Cultivar{ID: poolID(crop.Cultivars, i), Name: word},
			&crop.Plant{ID: poolID(crop.Plants, i), SeasonID: poolID(crop.Seasons, 0), PlaceID: poolID(crop.Places, i),
				CultivarID: poolID(crop.Cultivars, i), Label: word, SownOn: date("2026-03-01"), Moves: []crop.Move{}})...)
	}
	return all
}

func drawRecord(rt *rapid.T) crop.Record {
	word := rapid.SampledFrom([]string{"ash", "beech", "cedar"})
	day := func() *crop.Date { return new(date("2026-03-01").AddDays(rapid.IntRange(0, 3).Draw(rt, "day"))) }
	// Times are written in UTC, so that their text doesn't hang on a zone.
	when := func() crop.Moment {
		if rapid.Bool().Draw(rt, "day alone") {
			return crop.DayMoment(*day(), time.UTC)
		}
		return crop.InstantMoment(day().Noon(time.UTC).Add(time.Duration(rapid.IntRange(-12, 12).Draw(rt, "hour")) * time.Hour))
	}
	switch rapid.SampledFrom([]crop.Kind{crop.Seasons, crop.Places, crop.Cultivars, crop.Plants, crop.Plants, crop.Visits, crop.Visits,
		crop.Pickings}).Draw(rt, "kind") {
	case crop.Seasons:
		return &crop.Season{ID: drawID(rt, crop.Seasons, 2), Name: word.Draw(rt, "name")}
	case crop.Places:
		return &crop.Place{ID: drawID(rt, crop.Places, 2), Name: word.Draw(rt, "name"),
			TimeZone: rapid.SampledFrom([]string{"", "Asia/Tokyo", "America/Lima"}).Draw(rt, "zone")}
	case crop.Cultivars:
		return &crop.Cultivar{ID: drawID(rt, crop.Cultivars, 2), Name: word.Draw(rt, "name"),
			ScaleID: rapid.SampledFrom([]*crop.ID{nil, &crop.ColourClassScaleID}).Draw(rt, "scale")}
	case crop.Plants:
		p := &crop.Plant{ID: drawID(rt, crop.Plants, 3), SeasonID: drawID(rt, crop.Seasons, 2), PlaceID: drawID(rt, crop.Places, 2),
			CultivarID: drawID(rt, crop.Cultivars, 2), Label: word.Draw(rt, "label"), SownOn: new(date("2026-03-01").AddDays(rapid.IntRange(0, 1).Draw(rt, "sown"))), Moves: []crop.Move{}}
		if one(rt, 3, "moves") {
			p.Moves = []crop.Move{{PlaceID: drawID(rt, crop.Places, 2), On: p.SownOn.AddDays(1)}}
		}
		return p
	case crop.Visits:
		counts := map[string]int{rapid.SampledFrom([]string{"green", "red"}).Draw(rt, "stage"): rapid.IntRange(0, 4).Draw(rt, "fruit")}
		if one(rt, 8, "pink") {
			counts["pink"] = 1 // not on every scale
		}
		return &crop.Visit{ID: drawID(rt, crop.Visits, 3), PlantID: drawID(rt, crop.Plants, 3), CountedAt: when(), Counts: counts}
	default:
		return &crop.Picking{ID: drawID(rt, crop.Pickings, 2), PlantID: new(drawID(rt, crop.Plants, 3)), PickedAt: when(), Stage: "red",
			Grade: crop.Marketable, Fruits: new(rapid.IntRange(0, 3).Draw(rt, "fruit"))}
	}
}
