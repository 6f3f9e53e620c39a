package demotrial

import (
	"slices"
	"time"
)

// diary writes one entry; b is nil where it concerns the whole season.
func (r *run) diary(b *bush, at stamp, kind, note string) {
	r.diaryMeasured(b, at, kind, note, nil)
}

func (r *run) diaryMeasured(b *bush, at stamp, kind, note string, measured map[string]string) {
	cells := map[string]string{"season": r.season.name, "noted_at": at.text(), "kind": kind, "note": note}
	plant := ""
	if b != nil {
		plant = b.plan.label
		cells["plant"] = plant
	}
	for name, value := range measured {
		cells[name] = value
	}
	r.book.add(diary, row{key: r.season.name + "\x1f" + plant, at: at.at, tie: kind + note, cells: cells})
}

// keepDiary writes what belongs to no count: the plants' beginnings, the moves,
// the care of the solution, and the remarks.
func (r *run) keepDiary() {
	for _, b := range r.bushes {
		r.beginnings(b)
		for _, m := range b.plan.moves {
			r.diary(b, dateAlone(m.on), "moved", "from the kitchen unit to the balcony")
			r.book.add(movesFile, row{
				key: r.season.name + "\x1f" + b.plan.label, at: day(m.on),
				cells: map[string]string{"season": r.season.name, "plant": b.plan.label, "place": m.to, "moved_on": m.on},
			})
		}
	}
	r.careOfSolution()
	for _, e := range diaryRemarks[r.season.name] {
		var b *bush
		for _, x := range r.bushes {
			if x.plan.label == e.plant {
				b = x
			}
		}
		r.diary(b, moment(e.at), e.kind, e.note)
	}
}

// beginnings writes when a plant was sown, came up, was thinned and potted.
func (r *run) beginnings(b *bush) {
	d := newDice(r.season.name, b.plan.label, "beginnings")
	if b.plan.origin == "" {
		r.diary(b, dateAlone(b.plan.sown), "sown", "three seeds in the pod")
	}
	up := addDays(b.plan.sown, 6+d.below(3))
	r.diary(b, dateAlone(up), "emerged", "")
	if b.plan.origin == "" && !r.separated(b) {
		r.diary(b, dateAlone(addDays(b.plan.sown, 13+d.below(3))), "thinned", "the strongest seedling stays")
	}
	if b.plan.transplanted != "" {
		r.diary(b, dateAlone(b.plan.transplanted), "transplanted", "into a pot of 4 litres")
	}
	if b.plan.discarded {
		r.diary(b, dateAlone(b.plan.removed), "note", "discarded, no roots to speak of")
		return
	}
	if d.chance(0.5) {
		r.diary(b, dateAlone(addDays(dateOf(r.season.instant(b.firstFlower)), 20+d.below(8))), "pruned", pick(d, []string{
			"yellow leaves below the first truss", "two leaves that shaded the fruit", "side shoots",
		}))
	}
}

// separated reports whether another plant came from this one's pod.
func (r *run) separated(b *bush) bool {
	return slices.ContainsFunc(r.bushes, func(x *bush) bool { return x.plan.origin == b.plan.label })
}

// careOfSolution writes the kitchen unit's solution: measured about weekly,
// changed every other time, cleaned with every third change. Nobody measures
// while nobody is there.
func (r *run) careOfSolution() {
	d := newDice(r.season.name, "solution")
	date := addDays(r.season.firstDay, 9)
	for i := 0; date < dateOf(r.season.records); i++ {
		home := true
		for _, a := range r.season.away {
			home = home && (date <= a.from || date >= a.to)
		}
		if home {
			strength := 1.3
			if date >= r.season.firstVisit {
				strength = 2.3
			}
			at := clock(date, 20, 5+d.below(40))
			r.diaryMeasured(nil, moment(at), "solution measured", "", map[string]string{
				"ec_ds_m":    oneDecimal(strength + 0.15*d.normal()),
				"ph":         oneDecimal(6.0 + 0.12*d.normal()),
				"solution_c": oneDecimal(21.6 + 0.5*d.normal()),
			})
			if i%2 == 1 {
				r.diary(nil, moment(at.Add(15*time.Minute)), "solution changed", "9 litres, kitchen unit")
			}
			if i%6 == 5 {
				r.diary(nil, moment(at.Add(40*time.Minute)), "cleaned", "pump and filter")
			}
		}
		date = addDays(date, 6+d.below(3))
	}
}

// diaryRemark is something said in the diary; plant may be empty.
type diaryRemark struct {
	at                time.Time
	plant, kind, note string
}

var diaryRemarks = map[string][]diaryRemark{
	winter: {
		{clock("2025-10-04", 18, 10), "", "note", "An invented trial. Three cultivars, eight pods in the kitchen, two pots on the balcony."},
		{clock("2025-10-18", 18, 30), "U4b", "note", "second seedling taken out of pod U4 with its own plug of wool"},
		{clock("2025-10-26", 9, 15), "", "note", "clocks back one hour; the lamps keep their own time, corrected by hand"},
		{clock("2025-12-04", 18, 20), "", "note", "logger in the kitchen had no battery, \"low\" since yesterday"},
		{clock("2025-12-23", 12, 40), "", "note", "to Inês's parents for the week; counts on paper until the phone is mended"},
		{clock("2026-01-30", 19, 10), "", "note", "balcony logger had fallen behind the rail, 9 °C out there before sunrise"},
		{clock("2026-03-01", 16, 30), "", "cleaned", "everything out; unit, pump and pots washed"},
	},
	autumn: {
		{clock("2026-06-13", 18, 10), "", "note", "An invented trial, second season; same three cultivars, more of them outside."},
		{clock("2026-06-27", 10, 0), "B3", "note", "the first pod of B3 stayed empty after a fortnight; sown again"},
		{clock("2026-07-01", 19, 0), "B4", "note", "two seedlings in pod U6, both good: separated, the second is B4"},
		{clock("2026-08-21", 19, 40), "U3", "note", "touches the lamps;\nto the balcony at the weekend"},
		{clock("2026-09-17", 18, 50), "U7", "note", "stem soft at the base, leaves limp by noon; comes out on Saturday, fruit and all"},
		{clock("2026-10-11", 8, 5), "", "note", "away for a fortnight, back on the 26th; kitchen picked, balcony only counted"},
		{clock("2026-10-26", 20, 30), "", "note", "home again, clocks changed meanwhile. Kitchen counted and picked, balcony counted by torchlight: ripe fruit on most pots, picking tomorrow"},
	},
}
