package crop

import "slices"

// Cause says how fruit was lost.
type Cause string

// The causes of loss. Thinned fruit was taken off on purpose, cleared fruit was left on the plant when it was removed.
const (
	Dropped  Cause = "dropped"
	Split    Cause = "split"
	Dried    Cause = "dried"
	Rotted   Cause = "rotted"
	Pest     Cause = "pest"
	Disease  Cause = "disease"
	Thinned  Cause = "thinned"
	Cleared  Cause = "cleared"
	OtherWay Cause = "other"
)

// Causes lists all causes in the order of the contract.
func Causes() []Cause {
	return []Cause{Dropped, Split, Dried, Rotted, Pest, Disease, Thinned, Cleared, OtherWay}
}

// Found tells whether fruit lost this way is found at a visit, and so was gone before its count; thinned and cleared
// fruit is the grower's own act and comes after it.
func (c Cause) Found() bool { return c != Thinned && c != Cleared }

// Loss is fruit gone unpicked. Fruit found under a unit, of no plant in particular, names the unit.
type Loss struct {
	ID          ID     `json:"id"`
	PlantID     *ID    `json:"plant_id"`
	Unit               // which unit, where the plant isn't known
	LostAt      Moment `json:"lost_at"`
	Stage       string `json:"stage"`
	Fruits      *int   `json:"fruits"`
	Cause       Cause  `json:"cause"`
	BeforeCount bool   `json:"before_count"` // gone before the count of the same time, whatever the cause
	Note        string `json:"note"`
}

func (l *Loss) check(c *checker) {
	plant, scale, ok := c.source(l.PlantID, &l.Unit)
	c.text("/note", &l.Note)
	if ok {
		c.moment("/lost_at", &l.LostAt, plant)
		if l.Stage == "" {
			c.fault("/stage", "is missing; give the stage the fruit had reached, one of %s", list(scale.Names()))
		} else {
			l.Stage = Name(l.Stage)
			c.stage("/stage", l.Stage, scale)
		}
	} else {
		c.needMoment("/lost_at", l.LostAt)
		if l.Stage == "" {
			c.fault("/stage", "is missing; give the stage the fruit had reached")
		}
	}
	if l.Cause == "" {
		c.fault("/cause", "is missing; write one of %s", list(Causes()))
	} else if !slices.Contains(Causes(), l.Cause) {
		c.fault("/cause", "is %s, which is not a cause; write one of %s", quoted(string(l.Cause)), list(Causes()))
	}
	if l.Fruits == nil {
		c.fault("/fruits", "is missing; give the number of fruit")
	}
	c.fruit("/fruits", l.Fruits)
}
