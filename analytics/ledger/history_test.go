package ledger_test

import (
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// history is a plant whose every fruit is known, with the records that a careful grower, or a less careful one, made of it.
type history struct {
	records  crop.PlantRecords
	fruit    []*fruit
	truth    []truth // at each count
	vanished bool    // some fruit went without a record
	lastGone int     // step of the last vanishing, -1 for none
	lastSeen int     // step of the last count, -1 for none
	lastStep int
	unsure   bool // some fruit went without a number or a plant
}

type fruit struct {
	stage          int
	gone, vanished bool
}

// truth is what was so at a count, at or beyond each stage.
type truth struct{ reached, vanished []int }

// habits say what records may lack.
type habits struct{ partial, lowerBounds, vanishing, unsure bool }

// stepDays is longer than a fruit needs to ripen, so that any history of stages is a possible one.
const stepDays = 40

var beginning = time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)

// drawHistory makes a plant's life: in each step fruit is set and ripens, some vanishes, some is found lost, the plant is
// counted, and some is picked or thinned after the count.
func drawHistory(t *rapid.T, h habits) *history {
	scale := crop.DefaultScale()
	n := len(scale.Stages)
	life := &history{lastGone: -1, lastSeen: -1, records: crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{1}}, Scale: &scale}}
	chance := func(name string, percent int) bool { return rapid.IntRange(0, 99).Draw(t, name) < percent }
	for step := range rapid.IntRange(1, 5).Draw(t, "steps") {
		life.lastStep = step
		at := crop.InstantMoment(beginning.AddDate(0, 0, stepDays*step))
		for range rapid.IntRange(0, 4).Draw(t, "set") {
			life.fruit = append(life.fruit, &fruit{})
		}
		for _, f := range life.fruit {
			if !f.gone {
				f.stage = min(n-1, f.stage+rapid.IntRange(0, 2).Draw(t, "ripens"))
			}
		}
		if h.vanishing {
			for _, f := range life.fruit {
				if !f.gone && chance("vanishes", 15) {
					f.gone, f.vanished = true, true
					life.vanished, life.lastGone = true, step
				}
			}
		}
		life.take(t, at, false, h)
		if chance("counted", 80) {
			life.count(t, at, h)
			life.lastSeen = step
		}
		life.take(t, at, true, h)
	}
	return life
}

func (l *history) id(t *rapid.T) crop.ID {
	id := crop.ID{9}
	id[15] = byte(len(l.records.Visits) + len(l.records.Pickings) + len(l.records.Losses) + len(l.records.UnitPickings))
	id[1] = byte(rapid.IntRange(0, 255).Draw(t, "id")) // so that the order of ids is not the order of making
	return id
}

// take removes some fruit: found losses and pickings before the count, or pickings and thinning after it.
func (l *history) take(t *rapid.T, at crop.Moment, after bool, h habits) {
	for _, f := range l.fruit {
		if f.gone || rapid.IntRange(0, 99).Draw(t, "taken") >= 20 {
			continue
		}
		f.gone = true
		stage, one := l.records.Scale.Stages[f.stage].Name, new(1)
		how := rapid.IntRange(0, 5).Draw(t, "how")
		switch {
		case h.unsure && how == 4:
			l.unsure = true
			l.records.UnitPickings = append(l.records.UnitPickings, crop.Picking{ID: l.id(t), PickedAt: at, Stage: stage,
				Fruits: new(rapid.IntRange(1, 3).Draw(t, "of the unit")), BeforeCount: !after})
		case h.unsure && how == 5:
			l.unsure = true
			l.records.Pickings = append(l.records.Pickings, crop.Picking{ID: l.id(t), PickedAt: at, Stage: stage, MassG: new(8.0), BeforeCount: !after})
		case how%2 == 0:
			l.records.Pickings = append(l.records.Pickings, crop.Picking{ID: l.id(t), PickedAt: at, Stage: stage, Fruits: one, BeforeCount: !after})
		case after:
			l.records.Losses = append(l.records.Losses, crop.Loss{ID: l.id(t), LostAt: at, Stage: stage, Fruits: one, Cause: crop.Thinned})
		default:
			l.records.Losses = append(l.records.Losses, crop.Loss{ID: l.id(t), LostAt: at, Stage: stage, Fruits: one, Cause: crop.Rotted})
		}
	}
}

// count records a count without a mistake, of what the habit leaves to be counted.
func (l *history) count(t *rapid.T, at crop.Moment, h habits) {
	n := len(l.records.Scale.Stages)
	standing, now := make([]int, n), truth{reached: make([]int, n), vanished: make([]int, n)}
	for _, f := range l.fruit {
		if !f.gone {
			standing[f.stage]++
		}
		for s := 0; s <= f.stage; s++ {
			now.reached[s]++
			if f.vanished {
				now.vanished[s]++
			}
		}
	}
	v := crop.Visit{ID: l.id(t), CountedAt: at, Counts: map[string]int{}}
	total, missing := 0, false
	for s, k := range standing {
		total += k
		if h.partial && rapid.IntRange(0, 2).Draw(t, "left out") == 0 {
			missing = true
			continue
		}
		if h.lowerBounds && k > 0 {
			k = rapid.IntRange(0, k).Draw(t, "seen")
		}
		v.Counts[l.records.Scale.Stages[s].Name] = k
	}
	if missing && (len(v.Counts) == 0 || rapid.Bool().Draw(t, "total")) && !h.lowerBounds {
		v.Total = &total
	}
	if h.lowerBounds {
		switch rapid.IntRange(0, 2).Draw(t, "why") {
		case 0:
			v.AtLeast = true
		case 1:
			v.TrussesCounted, v.TrussesTotal = new(1), new(2)
		case 2:
			v.TrussesCounted = new(1)
		}
	}
	l.records.Visits = append(l.records.Visits, v)
	l.truth = append(l.truth, now)
}

func (l *history) standing() int {
	n := 0
	for _, f := range l.fruit {
		if !f.gone {
			n++
		}
	}
	return n
}
