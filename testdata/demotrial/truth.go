package demotrial

// PlantTruth is what truly became of one plant's fruit, whatever was written
// down. Set = Picked + Lost + Cleared + NeverSeen + Left.
type PlantTruth struct {
	Season, Plant, Cultivar string
	// Set is all fruit that set, Left what had not gone when the
	// records end: LeftRipe of it ripe, LeftPastRipe ripe for more than 7 days.
	Set, Left, LeftRipe, LeftPastRipe int
	// Picked by hand, ripe or not, written down or not; PickedUnripe of them
	// before they were ripe.
	Picked, PickedUnripe int
	// Lost is what went unpicked and was found; Cleared is what was taken out
	// with the plant; NeverSeen dried or fell before anybody noticed it.
	Lost, Cleared, NeverSeen int
	LostByCause              map[string]int
	PickedMassG              float64
	Removed                  bool
}

// Mistake is one thing that the records have wrong, on purpose.
type Mistake struct {
	Kind string // one of the constants below
	// File and Line are where the wrong record stands; for a picking that was
	// not written down, the count that follows it.
	File string
	Line int
	// Season, Plant and At (as in the file) name that record.
	Season, Plant, At string
	// Stage and Fruits: what it is wrong about and by how many.
	Stage  string
	Fruits int
	// FallAt is the count at which fruit ever reached comes out lower than
	// before, where the mistake has that effect; empty otherwise.
	FallAt string
	What   string // in a grower's words
}

// The kinds of planted mistakes.
const (
	UnwrittenPicking = "picking not written down"
	TooManyPicked    = "more picked than stood"
	SwappedDigits    = "digits swapped in a count"
	DoubledDigit     = "digit doubled in a count"
	Overlooked       = "fruit overlooked at one visit"
)

// Trial is the whole invented trial.
type Trial struct {
	Files    map[string][]byte // by file name
	Mistakes []Mistake
	Truth    []PlantTruth
}
