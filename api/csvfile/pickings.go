package csvfile

import (
	"strings"

	"vinetally/analytics/crop"
)

// takenKey knows a picking (with its grade) or a loss (with its cause).
type takenKey struct {
	from  fruitSource
	at    momentKey
	stage string
	how   string
}

// fruitSource is a plant, or a unit's season, place and cultivar.
type fruitSource [3]crop.ID

func sourceOf(plant *crop.ID, u *crop.Unit) fruitSource {
	if plant != nil {
		return fruitSource{*plant}
	}
	return fruitSource{orZero(u.SeasonID), orZero(u.PlaceID), orZero(u.CultivarID)}
}

func keyOfPicking(p *crop.Picking) takenKey {
	return takenKey{sourceOf(p.PlantID, &p.Unit), keyOfMoment(p.PickedAt), p.Stage, string(p.Grade)}
}

var pickingTable = &table[crop.Picking]{
	file: pickingsFile, noun: "picking", key: "plant+picked_at+stage+grade",
	columns: []column[crop.Picking]{
		seasonColumn(func(n *registry, p *crop.Picking) string { return n.seasonOf(p.PlantID, &p.Unit) },
			func(p *crop.Picking, id crop.ID) { p.SeasonID = &id }),
		plantColumn(mayMiss, func(n *registry, p *crop.Picking) string { return n.plantLabel(p.PlantID) },
			func(p *crop.Picking, id *crop.ID) { p.PlantID = id }),
		placeColumn(mayMiss, func(n *registry, p *crop.Picking) string { return n.placeName(p.PlaceID) },
			func(p *crop.Picking, id *crop.ID) { p.PlaceID = id }),
		cultivarColumn(mayMiss, func(n *registry, p *crop.Picking) string { return n.cultivarName(p.CultivarID) },
			func(p *crop.Picking, id *crop.ID) { p.CultivarID = id }),
		momentColumn("picked_at", func(n *registry, p *crop.Picking) string { return n.momentText(p.PickedAt, p.PlantID, p.PlaceID) },
			func(p *crop.Picking) *crop.Moment { return &p.PickedAt }),
		takenStageColumn(mayMiss, func(p *crop.Picking) *string { return &p.Stage }),
		wholeColumn("fruits", mayMiss, func(p *crop.Picking) **int { return &p.Fruits }),
		numberColumn("mass_g", mayMiss, func(p *crop.Picking) **float64 { return &p.MassG }),
		textColumn("weighing", func(p *crop.Picking) *string { return &p.Weighing }),
		{name: "grade", read: func(c *cell, p *crop.Picking) { p.Grade = crop.Grade(c.word()) },
			write: func(_ *registry, p *crop.Picking) string { return string(p.Grade) }},
		yesColumn("before_count", mayMiss, func(p *crop.Picking) *bool { return &p.BeforeCount }),
		numberColumn("brix", mayMiss, func(p *crop.Picking) **float64 { return &p.Brix }),
		wholeColumn("taste", mayMiss, func(p *crop.Picking) **int { return &p.Taste }),
		noteColumn("note", func(p *crop.Picking) *string { return &p.Note }),
	},
	lacks: func(has func(string) bool) string {
		if !has("fruits") && !has("mass_g") {
			return "the column fruits; or give mass_g where fruit was weighed and not counted"
		}
		return lacksSource(has)
	},
	complete: func(c *cell, p *crop.Picking) {
		c.completeSource(p.PlantID, &p.Unit)
		c.completeStage(&p.Unit, &p.Stage)
		if scale := c.scale(&p.Unit); p.Stage == "" && scale != nil {
			p.Stage = scale.RipeStage
		}
		if p.Grade == "" {
			p.Grade = crop.Marketable
		}
	},
}

func lacksSource(has func(string) bool) string {
	if !has("plant") && !(has("place") && has("cultivar")) {
		return "the column plant; or give place and cultivar for fruit of a whole unit"
	}
	return ""
}

// takenStageColumn is the stage of fruit that was taken.
func takenStageColumn[T any](need need, field func(*T) *string) column[T] {
	return column[T]{name: "stage", need: need, text: true,
		read:  func(c *cell, r *T) { *field(r) = c.name() },
		write: func(_ *registry, r *T) string { return *field(r) }}
}

// completeSource settles whether a row is of a plant or of a unit.
func (c *cell) completeSource(plant *crop.ID, u *crop.Unit) {
	switch {
	case plant != nil && (u.PlaceID != nil || u.CultivarID != nil):
		c.faultAt("plant", "is given together with place or cultivar; leave these two empty where the plant is known")
	case plant != nil:
		*u = crop.Unit{}
	case c.faults == 0 && (u.PlaceID == nil || u.CultivarID == nil):
		c.faultAt("plant", "is empty; name the plant, or place and cultivar where it isn't known from which plant the fruit is")
	}
}

// completeStage gives a stage that is written with other case (Red) the name that it has on the scale.
func (c *cell) completeStage(u *crop.Unit, stage *string) {
	scale := c.scale(u)
	if scale == nil || scale.Index(*stage) >= 0 {
		return
	}
	for _, s := range scale.Stages {
		if strings.EqualFold(s.Name, *stage) {
			*stage = s.Name
			return
		}
	}
}

// scale is the ripeness scale of the row's plant or unit, or nil.
func (c *cell) scale(u *crop.Unit) *crop.Scale {
	if c.plant != nil {
		return c.plant.scale
	}
	if u.CultivarID != nil {
		if v := c.im.registry.cultivars[*u.CultivarID]; v != nil && !c.im.kinds.faultyCultivars[v.Name] {
			scale, _ := crop.ScaleOf(c.im.registry, v.ID)
			return scale
		}
	}
	return nil
}
