package crop

// Stage is one step of a ripeness scale.
type Stage struct {
	Name        string `json:"name"`
	Description string `json:"description"`
}

// Scale is an ordered list of ripeness stages with one marked ripe. Stages after the ripe one (soft, wrinkled) are
// allowed; fruit there is ripe too.
type Scale struct {
	ID        ID      `json:"id"`
	Name      string  `json:"name"`
	Stages    []Stage `json:"stages"`
	RipeStage string  `json:"ripe_stage"`
}

// DefaultScale is the four stages a grower tells apart at a glance. No standard defines a four-stage scale; breaker is the
// class of 7 CFR 51.1860, turning joins its turning, pink and light red, and red is its red.
func DefaultScale() Scale {
	return Scale{ID: DefaultScaleID, Name: "four stages", RipeStage: "red", Stages: []Stage{
		{"green", "no other colour on the surface"},
		{"breaker", "a definite break of colour on not more than 10 % of the surface"},
		{"turning", "colour on more than 10 % and not more than 90 % of the surface"},
		{"red", "red on more than 90 % of the surface"},
	}}
}

// ColourClasses is the six colour classes of the United States Standards for Grades of Fresh Tomatoes, 7 CFR 51.1860, for
// red-fleshed fruit.
func ColourClasses() Scale {
	return Scale{ID: ColourClassScaleID, Name: "colour classes 7 CFR 51.1860", RipeStage: "red", Stages: []Stage{
		{"green", "surface completely green, the shade may vary"},
		{"breakers", "a definite break from green to tannish-yellow, pink or red on not more than 10 % of the surface"},
		{"turning", "more than 10 % and not more than 30 % of the surface shows a change from green"},
		{"pink", "more than 30 % and not more than 60 % of the surface shows pink or red"},
		{"light red", "more than 60 % of the surface shows pinkish-red or red, not more than 90 % red"},
		{"red", "more than 90 % of the surface shows red"},
	}}
}

// Index returns the position of a stage, from 0, or -1 if it isn't on the scale.
func (s *Scale) Index(stage string) int {
	for i := range s.Stages {
		if s.Stages[i].Name == stage {
			return i
		}
	}
	return -1
}

// Ripe returns the position of the ripe stage.
func (s *Scale) Ripe() int { return s.Index(s.RipeStage) }

// Names returns the stage names in order.
func (s *Scale) Names() []string {
	names := make([]string, len(s.Stages))
	for i := range s.Stages {
		names[i] = s.Stages[i].Name
	}
	return names
}

func (s *Scale) check(c *checker) {
	c.name("/name", &s.Name)
	switch n := len(s.Stages); {
	case n == 0:
		c.fault("/stages", "is missing; give 2 to 24 stages, from unripe to ripe")
	case n < 2 || n > 24:
		c.fault("/stages", "is a list of %d; give 2 to 24 stages, from unripe to ripe", n)
	}
	seen := map[string]bool{}
	for i := range s.Stages {
		c.name(pointer("stages", i, "name"), &s.Stages[i].Name)
		c.text(pointer("stages", i, "description"), &s.Stages[i].Description)
		name := s.Stages[i].Name
		if name != "" && seen[name] {
			c.fault(pointer("stages", i, "name"), "is %s, which stands twice; name every stage once", quoted(name))
		}
		if reservedColumns[name] {
			c.fault(pointer("stages", i, "name"), "is %s, which is the name of another column of counts.csv; choose another word", quoted(name))
		}
		seen[name] = true
	}
	s.RipeStage = Name(s.RipeStage) // as the stages' names
	switch i := s.Index(s.RipeStage); {
	case s.RipeStage == "":
		c.fault("/ripe_stage", "is missing; name the stage at which fruit counts as ripe")
	case i < 0:
		c.fault("/ripe_stage", "is %s, which is not one of the stages; name the stage at which fruit counts as ripe", quoted(s.RipeStage))
	case i == 0:
		c.fault("/ripe_stage", "is %s, the first stage; name a later one, or add a stage before it", quoted(s.RipeStage))
	}
}

// reservedColumns are the columns of counts.csv that are not stages, so no stage may take their names.
var reservedColumns = map[string]bool{
	"id": true, "season": true, "plant": true, "counted_at": true, "trusses_counted": true, "trusses_total": true,
	"truss": true, "at_least": true, "about": true, "total": true, "observer": true, "note": true,
}
