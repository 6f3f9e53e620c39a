package simulate

// Conduct is how a trial is kept: where the plants stand, how often they are looked at, and what goes wrong in the records.
type Conduct struct {
	Name      string
	Plants    int
	Cultivars int
	Weather   Weather
	// Rounds in which every plant is looked at come this many days apart, drawn evenly between the two. Missed is the chance that a plant is left
	// out of one.
	Every  [2]float64
	Busy   bool // on weekdays hardly ever
	Missed float64
	Away   [2]float64 // between these days from sowing nobody looks
	// PickRipe is the share of the ripe fruit seen that is picked at a visit, PickTurning that of the stage before.
	PickRipe, PickTurning float64
	// Drop is the scale, in days at 20 °C from ripe, of the time at which ripe fruit falls; Logged the share of the fallen that
	// is found and written down.
	Drop, Logged float64
	// SeenGreen is the chance that a standing green fruit is counted, Confused that a fruit is called a neighbouring colour.
	SeenGreen, Confused float64
	// Unwritten is the chance that a fruit that was picked isn't written down.
	Unwritten float64
	DatesOnly bool
	// Unfinished is the chance that a count covers only some trusses, some stages, or is given up.
	Unfinished float64
	// Pruned is three times the chance at a visit that a whole truss of a plant is cut off green.
	Pruned float64
	Dies   bool // one plant dies two thirds into the season
	Moves  bool // one plant is moved outdoors
}

// Conducts are the kinds of conduct that forecasts are scored on, the six of every score first.
func Conducts() []Conduct {
	usual := Conduct{
		Plants: 6, Cultivars: 1, Weather: Indoors, Every: [2]float64{2, 4}, PickRipe: 0.9, PickTurning: 0.02,
		Drop: 22, Logged: 0.8, SeenGreen: 0.96, Confused: 0.05,
	}
	with := func(name string, change func(*Conduct)) Conduct {
		c := usual
		c.Name = name
		change(&c)
		return c
	}
	return []Conduct{
		with("steady", func(*Conduct) {}),
		with("busy weekends", func(c *Conduct) { c.Every, c.Busy, c.PickTurning = [2]float64{3, 7}, true, 0.06 }),
		with("cool", func(c *Conduct) { c.Weather, c.Plants = Cool, 4 }),
		with("swinging", func(c *Conduct) { c.Weather = Balcony }),
		with("two cultivars", func(c *Conduct) { c.Plants, c.Cultivars = 8, 2 }),
		with("neglected", func(c *Conduct) {
			c.Every, c.PickRipe, c.Drop, c.Logged, c.Missed = [2]float64{4, 9}, 0.35, 12, 0.3, 0.1
		}),
		with("truss cuts", func(c *Conduct) { c.Pruned = 0.15 }),
		with("unlogged picks", func(c *Conduct) { c.Unwritten = 0.12 }),
		with("dates only", func(c *Conduct) { c.DatesOnly = true }),
		with("unfinished counts", func(c *Conduct) { c.Unfinished = 0.4 }),
		with("a plant dies", func(c *Conduct) { c.Dies = true }),
		with("a plant moves", func(c *Conduct) { c.Moves, c.Weather = true, Indoors }),
	}
}

// Named is the conduct of a name.
func Named(name string) (Conduct, bool) {
	for _, c := range Conducts() {
		if c.Name == name {
			return c, true
		}
	}
	return Conduct{}, false
}
