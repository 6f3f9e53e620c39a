package simulate

// Stages of the default scale, in the order of ripening.
const (
	Green = iota
	Breaker
	Turning
	Red
	stages
)

// Fate is what became of a fruit.
type Fate int

// The fates.
const (
	Hanging Fate = iota // at the end of the season
	Picked
	Dropped // ripe, by itself
	Thinned // cut off with its truss, green
	Aborted // dropped when small
	Died    // with its plant
)

// Fruit is the truth about one fruit. Times are hours from the start of the season's first day, +Inf for what never came.
type Fruit struct {
	Truss   int
	Enters  [stages]float64 // when it set, and when it would enter each later stage if nothing took it
	Gone    float64         // when it left the plant
	Fate    Fate
	Written bool // its going is in the records
}

// Stage is the stage of a fruit at an hour; ok is false if it isn't on the plant.
func (f *Fruit) Stage(hour float64) (stage int, ok bool) {
	if hour < f.Enters[Green] || hour >= f.Gone {
		return 0, false
	}
	for stage = Red; stage > Green && hour < f.Enters[stage]; stage-- {
	}
	return stage, true
}
