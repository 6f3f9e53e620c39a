package crop

import "slices"

// DiaryKind says what a diary entry is about.
type DiaryKind string

// DiaryKinds lists the kinds in the order of the contract, and treated, after which fruit must not be picked until
// PickNotBefore.
func DiaryKinds() []DiaryKind {
	return []DiaryKind{"sown", "emerged", "thinned", "transplanted", "first bud", "first flower", "first fruit", "pruned",
		"solution changed", "solution measured", "cleaned", "moved", "treated", "note"}
}

// DiaryEntry is anything else worth dating, of one plant or of the whole season.
type DiaryEntry struct {
	ID       ID        `json:"id"`
	SeasonID ID        `json:"season_id"`
	PlantID  *ID       `json:"plant_id"`
	NotedAt  Moment    `json:"noted_at"`
	Kind     DiaryKind `json:"kind"`
	// ECDsM is the solution's electrical conductivity in dS/m, PH its pH, SolutionC its temperature in °C.
	ECDsM         *float64 `json:"ec_ds_m"`
	PH            *float64 `json:"ph"`
	SolutionC     *float64 `json:"solution_c"`
	PickNotBefore *Date    `json:"pick_not_before"`
	Note          string   `json:"note"`
}

func (d *DiaryEntry) check(c *checker) {
	c.text("/note", &d.Note)
	c.season("/season_id", d.SeasonID)
	var plant *Plant
	if d.PlantID != nil {
		var ok bool
		if plant, ok = c.refs.Plant(*d.PlantID); !ok {
			c.missing("/plant_id", "plant", *d.PlantID)
		} else if plant.SeasonID != d.SeasonID && !d.SeasonID.IsZero() {
			c.fault("/plant_id", "is the plant %s, which belongs to another season; mend season_id or plant_id", quoted(plant.Label))
		}
	}
	c.moment("/noted_at", &d.NotedAt, plant)
	if d.Kind == "" {
		c.fault("/kind", "is missing; write one of %s", list(DiaryKinds()))
	} else if !slices.Contains(DiaryKinds(), d.Kind) {
		c.fault("/kind", "is %s, which is not a kind of entry; write one of %s", quoted(string(d.Kind)), list(DiaryKinds()))
	}
	c.between("/ec_ds_m", d.ECDsM, 0, 50, "dS/m")
	c.between("/ph", d.PH, 0, 14, "pH")
	c.between("/solution_c", d.SolutionC, -10, 80, "°C")
	if d.PickNotBefore == nil {
		return
	}
	if d.Kind != "treated" {
		c.fault("/pick_not_before", "is %s, but goes with the kind treated only; leave it out, or write treated as the kind", d.PickNotBefore)
	} else if !d.NotedAt.IsZero() && d.PickNotBefore.Before(d.NotedAt.LocalDate()) {
		c.fault("/pick_not_before", "is %s, before the day of the treatment, %s; give the first day on which fruit may be picked again",
			d.PickNotBefore, d.NotedAt.LocalDate())
	}
}
