package csvfile

import "vinetally/analytics/crop"

// countKey knows a count. Rows of single trusses share their time, so the truss belongs to the key.
type countKey struct {
	plant crop.ID
	at    momentKey
	truss int
}

func keyOfCount(v *crop.Visit) countKey {
	key := countKey{plant: v.PlantID, at: keyOfMoment(v.CountedAt)}
	if v.Truss != nil {
		key.truss = *v.Truss
	}
	return key
}

// countTable returns the columns of counts.csv with one column for each of the stages.
func countTable(stages []string) *table[crop.Visit] {
	t := &table[crop.Visit]{file: countsFile, noun: "count", key: "plant+counted_at"}
	t.columns = []column[crop.Visit]{
		seasonColumn(func(n *registry, v *crop.Visit) string { return n.seasonOf(&v.PlantID, nil) }, func(*crop.Visit, crop.ID) {}),
		plantColumn(mustGiven, func(n *registry, v *crop.Visit) string { return n.plantLabel(&v.PlantID) },
			func(v *crop.Visit, id *crop.ID) { v.PlantID = orZero(id) }),
		momentColumn("counted_at", func(n *registry, v *crop.Visit) string { return n.momentText(v.CountedAt, &v.PlantID, nil) },
			func(v *crop.Visit) *crop.Moment { return &v.CountedAt }),
	}
	for _, stage := range stages {
		t.columns = append(t.columns, stageColumn(stage))
	}
	t.columns = append(t.columns,
		wholeColumn("total", mayMiss, func(v *crop.Visit) **int { return &v.Total }),
		wholeColumn("truss", mayMiss, func(v *crop.Visit) **int { return &v.Truss }),
		wholeColumn("trusses_counted", mayMiss, func(v *crop.Visit) **int { return &v.TrussesCounted }),
		wholeColumn("trusses_total", mayMiss, func(v *crop.Visit) **int { return &v.TrussesTotal }),
		yesColumn("at_least", mayMiss, func(v *crop.Visit) *bool { return &v.AtLeast }),
		yesColumn("about", mayMiss, func(v *crop.Visit) *bool { return &v.About }),
		textColumn("observer", func(v *crop.Visit) *string { return &v.Observer }),
		noteColumn("note", func(v *crop.Visit) *string { return &v.Note }),
	)
	t.lacks = func(has func(string) bool) string {
		if has("total") {
			return ""
		}
		for _, stage := range stages {
			if has(stage) {
				return ""
			}
		}
		return "a column to count in; name at least one stage, or total"
	}
	return t
}

// stageColumn is the count of one stage. An empty cell is a stage that was not counted.
func stageColumn(stage string) column[crop.Visit] {
	return column[crop.Visit]{name: stage, stage: true,
		read: func(c *cell, v *crop.Visit) {
			n, counted := c.count()
			if !counted {
				delete(v.Counts, stage)
				return
			}
			if v.Counts == nil {
				v.Counts = make(map[string]int, 4)
			}
			v.Counts[stage] = n
		},
		write: func(_ *registry, v *crop.Visit) string {
			if n, counted := v.Counts[stage]; counted {
				return wholeText(&n)
			}
			return ""
		}}
}
