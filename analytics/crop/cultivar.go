package crop

// Cultivar is the variety.
type Cultivar struct {
	ID   ID     `json:"id"`
	Name string `json:"name"`
	// ScaleID names the ripeness scale; nil is the default scale.
	ScaleID *ID `json:"scale_id"`
	// HoldDays is how many calendar days a ripe fruit may stay on the vine before it counts as past ripe; nil is
	// DefaultHoldDays.
	HoldDays *float64 `json:"hold_days"`
	Note     string   `json:"note"`
}

// DefaultHoldDays is the hold time where neither the request nor the cultivar gives one: a week on the vine, after which
// quality is likely to fall. The levels 3, 7 and 13 days come from red fruit's keeping time (2–4 days, NC State
// Extension) and the 13 days from red-ripe to over-ripe seen on tagged greenhouse fruit; 7 lies between them by judgement.
const DefaultHoldDays = 7

// Scale returns the id of the cultivar's scale.
func (v *Cultivar) Scale() ID {
	if v.ScaleID == nil {
		return DefaultScaleID
	}
	return *v.ScaleID
}

// Hold returns the hold time in calendar days.
func (v *Cultivar) Hold() float64 {
	if v.HoldDays == nil {
		return DefaultHoldDays
	}
	return *v.HoldDays
}

func (v *Cultivar) check(c *checker) {
	c.name("/name", &v.Name)
	c.text("/note", &v.Note)
	if v.ScaleID != nil {
		if _, ok := c.refs.Scale(*v.ScaleID); !ok {
			c.missing("/scale_id", "ripeness scale", *v.ScaleID)
		}
	}
	c.between("/hold_days", v.HoldDays, 0.25, 365, "days")
}
