package demotrial

// plan is something that happens at one plant's first fitting visit on or after
// a date: a mistake, a count that isn't whole, or a remark.
type plan struct {
	season, plant, from string
	kind                string // a mistake's kind, or one of the constants below
	table, text         string // for a remark: the file and what it says
	used                bool
}

// Counts that are not whole, and other conduct.
const (
	greenUncounted = "green not counted"
	gaveUp         = "count given up"
	someTrusses    = "some trusses counted"
	thinning       = "young fruit thinned"
	remark         = "remark"
)

// newPlans returns everything that was planted, fresh for one run.
func newPlans() []*plan {
	list := []plan{
		{season: winter, plant: "B1", from: "2026-01-12", kind: SwappedDigits},
		{season: winter, plant: "U7", from: "2026-01-04", kind: UnwrittenPicking},
		{season: winter, plant: "U8", from: "2026-01-18", kind: TooManyPicked},
		{season: winter, plant: "U2", from: "2025-12-14", kind: Overlooked},
		{season: winter, plant: "U5", from: "2025-12-17", kind: Overlooked},
		{season: autumn, plant: "U8", from: "2026-09-12", kind: UnwrittenPicking},
		{season: autumn, plant: "B2", from: "2026-09-04", kind: DoubledDigit},
		{season: autumn, plant: "U1", from: "2026-08-22", kind: Overlooked},
		{season: autumn, plant: "B4", from: "2026-09-02", kind: Overlooked},

		{season: winter, plant: "U3", from: "2025-12-08", kind: someTrusses},
		{season: winter, plant: "U6", from: "2025-12-18", kind: greenUncounted},
		{season: winter, plant: "B2", from: "2026-01-10", kind: gaveUp},
		{season: autumn, plant: "U1", from: "2026-08-12", kind: greenUncounted},
		{season: autumn, plant: "U8", from: "2026-08-16", kind: someTrusses},
		{season: autumn, plant: "B2", from: "2026-08-25", kind: gaveUp},
		{season: autumn, plant: "U5", from: "2026-09-01", kind: greenUncounted},
		{season: autumn, plant: "B1", from: "2026-09-20", kind: someTrusses},

		{season: winter, plant: "U7", from: "2025-11-24", kind: thinning},
		{season: winter, plant: "B1", from: "2025-12-14", kind: thinning},
		{season: autumn, plant: "B1", from: "2026-08-06", kind: thinning},
		{season: autumn, plant: "U3", from: "2026-08-04", kind: thinning},

		{season: winter, plant: "U1", from: "2025-12-05", kind: remark, table: counts, text: "Rui says \"one more\", I say not; counted again, as written"},
		{season: winter, plant: "B1", from: "2026-01-09", kind: remark, table: counts, text: "the first colour on the balcony, after nights of 10 °C"},
		{season: winter, plant: "U4", from: "2026-01-02", kind: remark, table: pickings, text: "sweet, a little mealy"},
		{season: winter, plant: "U2", from: "2026-01-08", kind: remark, table: pickings, text: "for the neighbour, dona Graça"},
		{season: autumn, plant: "U4", from: "2026-08-30", kind: remark, table: pickings, text: "thin skin, \"melts\", best of the three so far"},
		{season: autumn, plant: "B1", from: "2026-09-03", kind: remark, table: counts, text: "two trusses lie on the rail, hard to see"},
		{season: autumn, plant: "B2", from: "2026-09-06", kind: remark, table: losses, text: "the blackbird, seen doing it"},
		{season: autumn, plant: "B1", from: "2026-10-11", kind: remark, table: counts, text: "train to catch, counted but nothing picked out here"},
		{season: autumn, plant: "B1", from: "2026-10-26", kind: remark, table: counts, text: "by torchlight, picking tomorrow"},
		{season: autumn, plant: "B2", from: "2026-10-26", kind: remark, table: counts, text: "some very soft, a few on the floor"},
	}
	plans := make([]*plan, len(list))
	for i := range list {
		plans[i] = &list[i]
	}
	return plans
}

// due returns the plant's first unused plan of one of the kinds whose day has
// come, or nil.
func (r *run) due(b *bush, date string, kinds ...string) *plan {
	for _, p := range r.plans {
		if p.used || p.season != r.season.name || p.plant != b.plan.label || date < p.from {
			continue
		}
		for _, k := range kinds {
			if p.kind == k {
				return p
			}
		}
	}
	return nil
}

// remarkFor returns the remark that is due for a plant in a file, or "".
func (r *run) remarkFor(b *bush, date, table string) string {
	for _, p := range r.plans {
		if !p.used && p.kind == remark && p.season == r.season.name && p.plant == b.plan.label && p.table == table && date >= p.from {
			p.used = true
			return p.text
		}
	}
	return ""
}
