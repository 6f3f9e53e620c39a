package pastripe_test

import (
	"time"

	"pgregory.net/rapid"

	"vinetally/analytics/crop"
)

// trueFruit is one fruit of the drawn history.
type trueFruit struct {
	since, stage int
	gone         bool
}

type drawn struct {
	steps   []step
	fruit   []*trueFruit
	records crop.PlantRecords
}

var start = time.Date(2026, 1, 1, 9, 0, 0, 0, time.UTC)

const apart = 10 // days between steps

func at(i int) crop.Moment { return crop.InstantMoment(start.AddDate(0, 0, apart*i)) }

// draw makes a true history and its records. With sloppy records some counts are lower bounds, rough, or of red alone, and some
// removals have no number or no plant; what is recorded is true all the same.
func draw(t *rapid.T, soft, sloppy bool) *drawn {
	stages := []crop.Stage{{Name: "green"}, {Name: "red"}}
	if soft {
		stages = append(stages, crop.Stage{Name: "soft"})
	}
	d := &drawn{steps: make([]step, rapid.IntRange(1, 4).Draw(t, "steps"))}
	d.records = crop.PlantRecords{Plant: &crop.Plant{ID: crop.ID{1}}, Scale: &crop.Scale{Stages: stages, RipeStage: "red"}}
	green := 40
	for i := range d.steps {
		for _, f := range d.fruit {
			if soft && !f.gone && f.stage == 0 {
				f.stage = rapid.IntRange(0, 1).Draw(t, "softens")
			}
		}
		for range rapid.IntRange(0, mostTrueRipe-d.hanging()).Draw(t, "ripens") {
			d.fruit = append(d.fruit, &trueFruit{since: i})
			green--
		}
		d.take(t, i, false, sloppy)
		if rapid.IntRange(0, 3).Draw(t, "counted") > 0 {
			d.count(t, i, green, soft, sloppy)
		}
		d.take(t, i, true, sloppy)
	}
	return d
}

func (d *drawn) hanging() int {
	n := 0
	for _, f := range d.fruit {
		if !f.gone {
			n++
		}
	}
	return n
}

func (d *drawn) take(t *rapid.T, i int, after, sloppy bool) {
	s, r := &d.steps[i], &d.records
	for _, f := range d.fruit {
		if f.gone || rapid.IntRange(0, 2).Draw(t, "taken") > 0 {
			continue
		}
		f.gone = true
		a := act{stage: f.stage, fruit: 1}
		id := crop.ID{3, byte(len(r.Pickings) + len(r.Losses) + len(r.UnitPickings) + len(r.UnitLosses))}
		stage := r.Scale.Stages[f.stage+1].Name
		how := rapid.IntRange(0, 4).Draw(t, "how")
		switch {
		case sloppy && how == 3:
			a.open, a.fruit = true, rapid.IntRange(1, 2).Draw(t, "of the unit")
			r.UnitPickings = append(r.UnitPickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, Fruits: &a.fruit, BeforeCount: !after})
		case sloppy && how == 4:
			a.any = true
			r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, MassG: new(9.0), BeforeCount: !after})
		case after:
			r.Pickings = append(r.Pickings, crop.Picking{ID: id, PickedAt: at(i), Stage: stage, Fruits: new(1)})
		default:
			r.Losses = append(r.Losses, crop.Loss{ID: id, LostAt: at(i), Stage: stage, Fruits: new(1), Cause: crop.Split})
		}
		if after {
			s.after = append(s.after, a)
		} else {
			s.before = append(s.before, a)
		}
	}
}

func (d *drawn) count(t *rapid.T, i, green int, soft, sloppy bool) {
	s := &d.steps[i]
	for _, f := range d.fruit {
		if !f.gone {
			s.seen[f.stage]++
		}
	}
	s.counted, s.exact = true, true
	v := crop.Visit{ID: crop.ID{2, byte(i)}, CountedAt: at(i), Counts: map[string]int{"green": green, "red": s.seen[0]}}
	if soft {
		v.Counts["soft"] = s.seen[1]
	}
	if sloppy {
		switch rapid.IntRange(0, 4).Draw(t, "how counted") {
		case 0:
			s.exact, v.AtLeast = false, true
		case 1:
			s.exact, v.TrussesCounted, v.TrussesTotal = false, new(1), new(3)
		case 2:
			s.counted, v.About, v.Counts["red"] = false, true, v.Counts["red"]+rapid.IntRange(0, 9).Draw(t, "too many")
		case 3:
			delete(v.Counts, "green")
		}
		if !s.exact {
			s.seen[0] = rapid.IntRange(0, s.seen[0]).Draw(t, "seen")
			v.Counts["red"] = s.seen[0]
		}
	}
	d.records.Visits = append(d.records.Visits, v)
}

// question is when is asked, and for which hold time; the fruit that were ripe by step last have hung for it.
type question struct {
	asOf     time.Time
	holdDays float64
	last     int
}

func ask(t *rapid.T, steps int) question {
	q := question{last: rapid.IntRange(0, steps-1).Draw(t, "hold to step")}
	q.asOf = at(steps-1).At.AddDate(0, 0, rapid.IntRange(1, 30).Draw(t, "days later"))
	q.holdDays = q.asOf.Sub(at(q.last).At).Hours() / 24
	if rapid.Bool().Draw(t, "between steps") { // some days after the step, before the next
		q.holdDays -= 0.5
	}
	return q
}
