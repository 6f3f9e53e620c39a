package demotrial

import "math"

// picked is one line of pickings before its fruit was weighed.
type picked struct {
	cultivar, grade string
	unripe          bool
	massG           float64
	row             row
}

// harvest picks what the grower's habit picks: ripe fruit that has hung a day,
// if there are two or more or it is four days since; now and then one that is
// only turning.
func (v *visit) harvest() []*picked {
	b := v.bush
	standing := b.standing(v.hour)
	waited := float64(v.hour-b.lastPicked) / 24
	if v.run.season.leavesUnpicked(b.plan.placeOn(v.date), v.date) || standing[ripe] == 0 || (standing[ripe] < 2 && waited < 4) {
		return nil
	}
	eager := 0.01
	if v.observer == "Rui" {
		eager = 0.05
	}
	var taken []*fruit
	for _, f := range b.fruit {
		if !f.countable(v.hour) {
			continue
		}
		switch f.stageAt(v.hour) {
		case ripe:
			if v.dice.chance(0.95) && (v.hour-f.Enters[ripe] > 20 || v.dice.chance(0.6)) {
				taken = append(taken, f)
			}
		case 2:
			if v.dice.chance(eager) {
				taken = append(taken, f)
			}
		}
	}
	if len(taken) == 0 {
		return nil
	}
	b.lastPicked = v.hour
	return v.writePicking(taken, standing)
}

// writePicking takes the fruit and writes it down by stage and grade.
func (v *visit) writePicking(taken []*fruit, standing [4]int) []*picked {
	b, r := v.bush, v.run
	type kind struct {
		stage int
		grade string
	}
	numbers, masses := map[kind]int{}, map[kind]float64{}
	for _, f := range taken {
		k := kind{f.stageAt(v.hour), "marketable"}
		if v.dice.chance(0.04) {
			k.grade = "cull"
		}
		numbers[k]++
		masses[k] += f.massG
		b.take(f, v.hour)
		b.truth.Picked++
		b.truth.PickedMassG += f.massG
		if k.stage != ripe {
			b.truth.PickedUnripe++
		}
	}
	if p := r.due(b, v.date, UnwrittenPicking); p != nil && len(taken) >= 4 && len(taken) <= 7 && r.awaiting[b.plan.label] == nil {
		p.used = true
		r.awaiting[b.plan.label] = r.note(Mistake{
			Kind: UnwrittenPicking, File: counts, Plant: b.plan.label, Stage: b.cultivar.stages[ripe], Fruits: len(taken),
			What: digits(len(taken)) + " fruit were picked on " + v.date + " and not written down",
		})
		return nil
	}
	at := v.at
	if v.dice.chance(0.4) {
		at = minutesLater(at, 1)
	}
	var lines []*picked
	for stage := ripe; stage >= 2; stage-- {
		for _, grade := range []string{"marketable", "cull"} {
			k := kind{stage, grade}
			if numbers[k] == 0 {
				continue
			}
			n := numbers[k]
			row := v.rowAt(at, "picked_at", digits(ripe-stage)+grade)
			if p := r.due(b, v.date, TooManyPicked); p != nil && stage == ripe && !v.together && n >= 3 && n < 10 && 10+n > standing[1]+standing[2]+standing[ripe] {
				p.used = true
				row.mistake = r.note(Mistake{
					Kind: TooManyPicked, File: pickings, Plant: b.plan.label, At: at.text(), Stage: b.cultivar.stages[ripe], Fruits: 10,
					What: digits(10+n) + " written for " + digits(n) + ", where " + digits(standing[ripe]) + " stood ripe",
				})
				n += 10
			}
			row.cells["stage"] = b.cultivar.stages[stage]
			row.cells["fruits"] = digits(n)
			row.cells["grade"] = grade
			if v.tasting && k == (kind{ripe, "marketable"}) {
				row.cells["brix"] = oneDecimal(7.4 + 0.6*v.dice.normal())
				row.cells["taste"] = digits(5 + v.dice.below(5))
			}
			if grade == "cull" {
				row.cells["note"] = pick(v.dice, []string{"cracked at the shoulder", "scarred", "soft on one side"})
			} else {
				row.cells["note"] = r.remarkFor(b, v.date, pickings)
			}
			lines = append(lines, &picked{cultivar: b.cultivar.name, grade: grade, unripe: stage != ripe, massG: masses[k], row: row})
		}
	}
	return lines
}

// weigh puts the day's fruit on the scales, plant by plant or the ripe
// marketable fruit of a cultivar together, and writes it all down.
func (r *run) weigh(basket []*picked, together bool) {
	groups := map[string][]*picked{}
	for _, p := range basket {
		if together && !p.unripe && p.grade == "marketable" {
			groups[p.cultivar] = append(groups[p.cultivar], p)
		}
	}
	d := newDice(r.season.name, "scales", digits(r.visitDay))
	for _, c := range cultivars {
		group := groups[c.name]
		if len(group) < 2 {
			continue
		}
		r.weighed++
		label := "bowl " + digits(r.weighed)
		total := 0.0
		for _, p := range group {
			total += p.massG
			p.row.cells["weighing"] = label
		}
		group[0].row.cells["mass_g"] = grams(total)
	}
	for _, p := range basket {
		if p.row.cells["weighing"] == "" && !d.chance(0.06) { // now and then eaten before it is weighed
			p.row.cells["mass_g"] = grams(p.massG)
		}
		r.book.add(pickings, p.row)
	}
}

// grams is a kitchen scale's reading, to one gram.
func grams(massG float64) string { return digits(int(math.Round(massG))) }
