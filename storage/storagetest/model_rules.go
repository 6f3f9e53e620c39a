package storagetest

import (
	"slices"

	"vinetally/analytics/crop"
)

// consistent tells whether the records can stand together, and whether the step from before keeps what was counted.
func (m *model) consistent(before *model, wrote map[name]bool) bool {
	all := m.current()
	refs := modelRefs{m, nil}
	taken := map[string]bool{}
	for _, r := range all {
		if k := uniqueText(r); k != "" {
			if taken[k] {
				return false
			}
			taken[k] = true
		}
		copied := crop.New(r.RecordKind())
		if err := fromText(text(r), copied); err != nil || len(crop.Check(copied, refs, Now.AddDate(500, 0, 0))) > 0 {
			return false // refers to what isn't there, or is wrong after another's edit
		}
		if !wrote[nameOf(r)] {
			continue
		}
		if old, there := before.latest(nameOf(r)); there && !keepsCounts(before, m, old.Record, r) {
			return false
		}
	}
	return true
}

func uniqueText(r crop.Record) string {
	switch r := r.(type) {
	case *crop.Season:
		return "season " + r.Name
	case *crop.Place:
		return "place " + r.Name
	case *crop.Cultivar:
		return "cultivar " + r.Name
	case *crop.Plant:
		return "plant " + r.SeasonID.String() + r.Label
	}
	return ""
}

// keepsCounts tells whether the edit leaves the scale and season of what was counted before it.
func keepsCounts(before, after *model, old, now crop.Record) bool {
	events := func(belongs func(plant *crop.Plant) bool) bool {
		return slices.ContainsFunc(before.current(), func(r crop.Record) bool {
			var id crop.ID
			switch r := r.(type) {
			case *crop.Visit:
				id = r.PlantID
			case *crop.Picking:
				id = *r.PlantID
			default:
				return false
			}
			p, _ := refer[crop.Plant](modelRefs{before, nil}, crop.Plants, id)
			return belongs(p)
		})
	}
	switch now := now.(type) {
	case *crop.Cultivar:
		return old.(*crop.Cultivar).Scale() == now.Scale() || !events(func(p *crop.Plant) bool { return p.CultivarID == now.ID })
	case *crop.Plant:
		old := old.(*crop.Plant)
		was, _ := refer[crop.Cultivar](modelRefs{before, nil}, crop.Cultivars, old.CultivarID)
		is, _ := refer[crop.Cultivar](modelRefs{after, nil}, crop.Cultivars, now.CultivarID)
		return old.SeasonID == now.SeasonID && was.Scale() == is.Scale() || !events(func(p *crop.Plant) bool { return p.ID == now.ID })
	}
	return true
}
