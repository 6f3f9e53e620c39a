package crop

// Visit is a count of the standing fruit of one plant at one time, by stage: of the whole plant, or of some of its
// trusses, or of only some stages, or at least so many because the grower gave up.
type Visit struct {
	ID        ID     `json:"id"`
	PlantID   ID     `json:"plant_id"`
	CountedAt Moment `json:"counted_at"`
	// Counts has an entry for each stage that was counted; a stage left out was not counted, which is not zero.
	Counts map[string]int `json:"counts"`
	// Total is all standing fruit where colours were not told apart, or beside a count of only some stages.
	Total          *int   `json:"total"`
	TrussesCounted *int   `json:"trusses_counted"`
	TrussesTotal   *int   `json:"trusses_total"`
	Truss          *int   `json:"truss"` // the truss this row is of, numbered from 1 at the base
	AtLeast        bool   `json:"at_least"`
	About          bool   `json:"about"` // the numbers are a glance, not a count
	Observer       string `json:"observer"`
	Note           string `json:"note"`
}

// MaxFruit is the largest number of fruit that one count, picking or loss may hold.
const MaxFruit = 100_000

func (v *Visit) check(c *checker) {
	plant, scale, ok := c.plant("/plant_id", v.PlantID)
	c.text("/note", &v.Note)
	c.shortText("/observer", &v.Observer)
	if ok {
		c.moment("/counted_at", &v.CountedAt, plant)
		v.checkCounts(c, scale)
	} else {
		c.needMoment("/counted_at", v.CountedAt)
		if len(v.Counts) == 0 && v.Total == nil {
			c.fault("/counts", "names no stage; give at least one of the plant's scale, or total")
		}
	}
	c.fruit("/total", v.Total)
	c.wholeBetween("/truss", v.Truss, 1, 1000, "counted from the base")
	c.wholeBetween("/trusses_counted", v.TrussesCounted, 0, 1000, "trusses")
	c.wholeBetween("/trusses_total", v.TrussesTotal, 0, 1000, "trusses")
	if v.TrussesCounted != nil && v.TrussesTotal != nil && *v.TrussesCounted > *v.TrussesTotal {
		c.fault("/trusses_counted", "is %d, more than trusses_total, %d; mend one of them", *v.TrussesCounted, *v.TrussesTotal)
	}
	if v.Truss != nil && v.TrussesCounted != nil {
		c.fault("/truss", "is %d and trusses_counted is %d, but a row is of one truss (truss) or of several (trusses_counted); leave one of them out", *v.Truss, *v.TrussesCounted)
	}
}

// normaliseStages gives the counted stages the form that names have. One that stands in two forms stays as it is.
func (v *Visit) normaliseStages() {
	for stage, n := range v.Counts {
		name := Name(stage)
		if _, twice := v.Counts[name]; name != stage && !twice {
			delete(v.Counts, stage)
			v.Counts[name] = n
		}
	}
}

func (v *Visit) checkCounts(c *checker, scale *Scale) {
	if len(v.Counts) == 0 && v.Total == nil {
		c.fault("/counts", "names no stage; give at least one of %s, or total", list(scale.Names()))
		return
	}
	for stage := range v.Counts {
		if scale.Index(stage) < 0 {
			v.normaliseStages()
			break
		}
	}
	sum, known := 0, 0
	for i := range scale.Stages {
		n, counted := v.Counts[scale.Stages[i].Name]
		if !counted {
			continue
		}
		known++
		sum += n
		if n < 0 || n > MaxFruit { // a bulk import asks this a million times: make the pointer only for a fault
			c.fruit(pointer("counts", scale.Stages[i].Name), &n)
		}
	}
	if known < len(v.Counts) {
		for _, stage := range sortedKeys(v.Counts) {
			if scale.Index(stage) < 0 {
				c.fault(pointer("counts", stage), "is given for %s, which is not a stage of the plant's scale; use one of %s", quoted(stage), list(scale.Names()))
			}
		}
		return
	}
	if v.Total == nil || *v.Total < 0 {
		return
	}
	// All stages of a count that was given up are lower bounds, and so is their sum: the total may be a higher one.
	all := len(v.Counts) == len(scale.Stages) && !v.AtLeast
	if sum > *v.Total || all && sum != *v.Total {
		c.fault("/total", "is %d, but the stages add up to %d; mend one of them or leave total out", *v.Total, sum)
	}
}
