package crop

// Grade says what became of picked fruit.
type Grade string

// The grades of a picking.
const (
	Marketable Grade = "marketable"
	Cull       Grade = "cull"
)

// Unit names the plants a picking or loss came from when it isn't known which one: all of one cultivar at one place in
// one season. The fields are zero where PlantID says which plant.
type Unit struct {
	SeasonID   *ID `json:"season_id,omitempty"`
	PlaceID    *ID `json:"place_id,omitempty"`
	CultivarID *ID `json:"cultivar_id,omitempty"`
}

// Picking is fruit taken at one time from one plant, of one stage and grade. A picking from a whole unit has no PlantID
// and names the unit instead.
type Picking struct {
	ID       ID     `json:"id"`
	PlantID  *ID    `json:"plant_id"`
	Unit            // which unit, where the plant isn't known
	PickedAt Moment `json:"picked_at"`
	Stage    string `json:"stage"` // the ripe stage if left out
	// Fruits is nil when fruit was weighed and not counted; then MassG is given. 0 says that there was nothing to pick.
	Fruits *int     `json:"fruits"`
	MassG  *float64 `json:"mass_g"`
	// Weighing labels pickings of a season that were weighed together; the mass stands on one of them.
	Weighing    string   `json:"weighing"`
	Grade       Grade    `json:"grade"`
	Brix        *float64 `json:"brix"`
	Taste       *int     `json:"taste"`
	BeforeCount bool     `json:"before_count"` // picked before the count of the same time
	Note        string   `json:"note"`
}

func (p *Picking) check(c *checker) {
	plant, scale, ok := c.source(p.PlantID, &p.Unit)
	c.text("/note", &p.Note)
	c.shortText("/weighing", &p.Weighing)
	if ok {
		c.moment("/picked_at", &p.PickedAt, plant)
		if p.Stage == "" {
			p.Stage = scale.RipeStage
		}
		p.Stage = Name(p.Stage)
		c.stage("/stage", p.Stage, scale)
	} else {
		c.needMoment("/picked_at", p.PickedAt)
	}
	if p.Grade == "" {
		p.Grade = Marketable
	}
	if p.Grade != Marketable && p.Grade != Cull {
		c.fault("/grade", "is %s, which is not a grade; write marketable or cull", quoted(string(p.Grade)))
	}
	if p.Fruits == nil && p.MassG == nil {
		c.fault("/fruits", "is missing; give the number of fruit, or mass_g where they were only weighed")
	}
	c.fruit("/fruits", p.Fruits)
	c.between("/mass_g", p.MassG, 0, 1_000_000, "grams")
	if p.Fruits != nil && *p.Fruits == 0 && p.MassG != nil && *p.MassG > 0 {
		c.fault("/mass_g", "is %s, but fruits is 0; mend the number, or leave fruits out where they were only weighed", number(*p.MassG))
	}
	c.between("/brix", p.Brix, 0, 40, "°Brix")
	c.wholeBetween("/taste", p.Taste, 1, 9, "points of the hedonic scale")
}
