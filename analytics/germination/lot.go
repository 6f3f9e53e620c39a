package germination

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"vinetally/analytics/crop"
	"vinetally/analytics/proportion"
)

// Level is the level of the intervals of a lot.
const Level = 0.90

// lateAfter is the day of a laboratory test's final count, 14 (ISTA rules and AOSA, from memory): what comes up after it is late.
const lateAfter = 14

// Span is a number of days that lies between two.
type Span struct{ Low, High float64 }

// Spot is what so many seeds in one spot give.
type Spot struct {
	Seeds    int
	Expected float64             // seedlings, the mean
	Interval proportion.Interval // of Expected, from that of the share
	// Empty is the chance that none comes up, if seeds of a spot come up or not each for itself; EmptyHigh the same at the low end of the
	// share's interval, for three seeds of three don't promise a fourth.
	Empty, EmptyHigh float64
}

// Lot is one sowing of one lot of a cultivar.
type Lot struct {
	CultivarID crop.ID
	Cultivar   string
	Lot        string
	SownOn     crop.Date
	CountedOn  crop.Date // the last count
	Seeds      int
	Emerged    int
	Late       *int // came up after day 14; nil if the counts end before
	// Plants of the season that name the lot, those of them that were transplanted, and the seedlings that became no plant on
	// record, thinned or lost: Emerged less Plants; nil where no plant names the lot.
	Plants, Transplanted int
	NotRaised            *int
	// Share has Wilson's interval at Level; both are 0, and Known false, where the records have more seedlings than seeds.
	Known    bool
	Share    float64
	Interval proportion.Interval
	// Indices take the days of the counts. MeanBetween and HalfBetween say between which days the mean time and the half lie, since
	// what is seen at a count came up since the one before; nil if nothing came up.
	Indices                  Indices
	MeanBetween, HalfBetween *Span
	Spots                    []Spot // 1 to 4 seeds a spot
	// AirC is the mean of the readings from sowing to the last seedling where its plants stood, nil without readings; Published is
	// what the published table has there.
	AirC      *float64
	Published *Published
	Warnings  []string
}

// Notes hold for every lot.
func Notes() []string {
	return []string{
		"The intervals take seeds to come up each for itself. Those of one spot share water and warmth, so the intervals are rather too narrow.",
		"The published table goes by the temperature of the soil, for seed half an inch deep, and counts normal seedlings; the readings are of the air.",
	}
}

// Lots sums up the lots of a season, by cultivar, lot and day of sowing. The trial is as of the moment wanted, with temperatures if the
// published table shall be looked up.
func Lots(t *crop.Trial) []Lot {
	type key struct {
		cultivar crop.ID
		lot      string
		sown     crop.Date
	}
	rows := map[key][]crop.Germination{}
	var keys []key
	for _, g := range t.Germination {
		if g.SownOn == nil || g.CountedOn == nil || g.Seeds == nil || g.Emerged == nil {
			continue
		}
		k := key{g.CultivarID, g.Lot, *g.SownOn}
		if rows[k] == nil {
			keys = append(keys, k)
		}
		rows[k] = append(rows[k], g)
	}
	var lots []Lot
	for _, k := range keys {
		l := Lot{CultivarID: k.cultivar, Lot: k.lot, SownOn: k.sown}
		if v, ok := t.Cultivar(k.cultivar); ok {
			l.Cultivar = v.Name
		}
		l.count(rows[k])
		l.raise(t)
		l.warm(t)
		lots = append(lots, l)
	}
	slices.SortFunc(lots, func(a, b Lot) int {
		return cmp.Or(crop.NaturalCompare(a.Cultivar, b.Cultivar), crop.NaturalCompare(a.Lot, b.Lot), a.SownOn.Compare(b.SownOn), a.CultivarID.Compare(b.CultivarID))
	})
	return lots
}

// count goes through the counts of a lot in the order of days.
func (l *Lot) count(rows []crop.Germination) {
	slices.SortStableFunc(rows, func(a, b crop.Germination) int { return a.CountedOn.Compare(*b.CountedOn) })
	last := rows[len(rows)-1]
	l.Seeds, l.CountedOn = *last.Seeds, *last.CountedOn
	var counts []Count
	before := 0
	low := 0.0
	lower, upper := 0.0, 0.0
	for _, g := range rows {
		if *g.Seeds != l.Seeds {
			l.warn("The count of %s says %d seeds and the last one %d; the last is taken.", g.CountedOn.Words(), *g.Seeds, l.Seeds)
		}
		day := float64(g.CountedOn.DaysSince(l.SownOn))
		fresh := *g.Emerged - before
		if fresh < 0 {
			l.warn("The count of %s has %d seedlings and the one before %d; seedlings that have come up count though they die, so the larger number stands.",
				g.CountedOn.Words(), *g.Emerged, before)
			fresh = 0
		}
		before += fresh
		counts = append(counts, Count{day, float64(fresh)})
		lower, upper = lower+float64(fresh)*low, upper+float64(fresh)*day
		low = day
	}
	l.Emerged = before
	if late := l.Emerged - upTo(counts); low >= lateAfter || l.Emerged == l.Seeds {
		l.Late = &late
	}
	if l.Emerged > l.Seeds {
		l.warn("More seedlings (%d) than seeds (%d) are on record, so the share can't be told; mend one of the numbers.", l.Emerged, l.Seeds)
	} else {
		l.Known = true
		l.Share = float64(l.Emerged) / float64(l.Seeds)
		l.Interval, _ = proportion.Wilson(l.Emerged, l.Seeds, Level) // a share by what stands above
		for n := 1; n <= 4; n++ {
			k := float64(n)
			l.Spots = append(l.Spots, Spot{n, k * l.Share, proportion.Interval{Low: k * l.Interval.Low, High: k * l.Interval.High},
				math.Pow(1-l.Share, k), math.Pow(1-l.Interval.Low, k)})
		}
	}
	l.Indices = Of(counts, l.Seeds)
	if l.Emerged > 0 {
		l.MeanBetween = &Span{lower / float64(l.Emerged), upper / float64(l.Emerged)}
		l.HalfBetween = halfBetween(counts, float64(l.Emerged)/2)
	}
	if l.CountedOn.DaysSince(l.SownOn) < lateAfter && l.Emerged < l.Seeds {
		l.warn("The last count was on day %d; seed may still come up, so the share may rise.", l.CountedOn.DaysSince(l.SownOn))
	}
}

// upTo is how many had come up by day 14.
func upTo(counts []Count) int {
	sum := 0.0
	for _, c := range counts {
		if c.Time <= lateAfter {
			sum += c.New
		}
	}
	return int(sum)
}

// Spread is the standard deviation of the time to emergence, days; nil of fewer than two seedlings.
func (l *Lot) Spread() *float64 {
	if l.Indices.Variance == nil {
		return nil
	}
	return new(math.Sqrt(*l.Indices.Variance))
}

// halfBetween is the stretch between two counts in which a running total passes a mark.
func halfBetween(counts []Count, mark float64) *Span {
	total, before := 0.0, 0.0
	for _, c := range counts {
		if total += c.New; total >= mark {
			return &Span{before, c.Time}
		}
		before = c.Time
	}
	return nil
}

// raise counts the plants that came of the lot.
func (l *Lot) raise(t *crop.Trial) {
	for i := range t.Plants {
		p := &t.Plants[i]
		if p.CultivarID != l.CultivarID || l.Lot == "" || p.Lot != l.Lot || p.SownOn == nil || *p.SownOn != l.SownOn {
			continue
		}
		l.Plants++
		if p.TransplantedOn != nil {
			l.Transplanted++
		}
	}
	switch {
	case l.Plants == 0:
	case l.Plants > l.Emerged:
		l.warn("%d plants name this lot, more than the %d seedlings that came up.", l.Plants, l.Emerged)
		l.NotRaised = new(0)
	default:
		l.NotRaised = new(l.Emerged - l.Plants)
	}
}

func (l *Lot) warn(format string, args ...any) {
	l.Warnings = append(l.Warnings, fmt.Sprintf(format, args...))
}
