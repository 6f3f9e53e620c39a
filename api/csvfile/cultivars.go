package csvfile

import "vinetally/analytics/crop"

var cultivarTable = &table[crop.Cultivar]{
	file: cultivarsFile, noun: "cultivar", key: "cultivar",
	columns: []column[crop.Cultivar]{
		nameColumn("cultivar", func(v *crop.Cultivar) *string { return &v.Name }),
		{name: "scale", text: true, read: readScale, write: func(names *registry, v *crop.Cultivar) string {
			if v.ScaleID == nil || names.scales[*v.ScaleID] == nil {
				return ""
			}
			return names.scales[*v.ScaleID].Name
		}},
		numberColumn("hold_days", mayMiss, func(v *crop.Cultivar) **float64 { return &v.HoldDays }),
		noteColumn("note", func(v *crop.Cultivar) *string { return &v.Note }),
	},
}

// readScale finds a scale by its name. Scales aren't made because a row names them: their stages would not be known.
func readScale(c *cell, v *crop.Cultivar) {
	v.ScaleID = nil
	name := c.trimmed()
	if name == "" {
		return
	}
	if s := c.im.byName.scales[name]; s != nil {
		v.ScaleID = &s.ID
		return
	}
	if c.im.broken[scalesFile] || c.im.kinds.scales.faulty[name] {
		c.spoil(c.column) // its rows have faults of their own
		return
	}
	c.fault("there is no ripeness scale %q; write its stages in scales.csv", name)
}
