package csvfile

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"vinetally/analytics/crop"
)

// scaleRow is one stage of a scale.
type scaleRow struct {
	id       crop.ID
	scale    string
	position *int
	stage    crop.Stage
	ripe     bool

	at rowRef
	h  *header
}

var scaleTable = &table[scaleRow]{
	file: scalesFile, noun: "stage", key: "scale+stage",
	columns: []column[scaleRow]{
		nameColumn("scale", func(r *scaleRow) *string { return &r.scale }),
		wholeColumn("position", mustGiven, func(r *scaleRow) **int { return &r.position }),
		nameColumn("stage", func(r *scaleRow) *string { return &r.stage.Name }),
		yesColumn("ripe", mayEmpty, func(r *scaleRow) *bool { return &r.ripe }),
		noteColumn("description", func(r *scaleRow) *string { return &r.stage.Description }),
	},
}

// rowsOf returns the rows that a scale is written as.
func rowsOf(s *crop.Scale) []scaleRow {
	rows := make([]scaleRow, len(s.Stages))
	for i, stage := range s.Stages {
		rows[i] = scaleRow{id: s.ID, scale: s.Name, position: new(i + 1), stage: stage, ripe: stage.Name == s.RipeStage}
	}
	return rows
}

// scaleRows gathers the rows of scales.csv into scales.
type scaleRows struct {
	order  []string
	rows   map[string][]scaleRow
	faulty map[string]bool // scales with a faulty row: their other rows are not enough
	stages map[crop.ID][]scaleRow
}

func (s *scaleRows) take(c *cell, h *header, cells []string) {
	if s.rows == nil {
		s.rows, s.faulty, s.stages = map[string][]scaleRow{}, map[string]bool{}, map[crop.ID][]scaleRow{}
	}
	r := scaleRow{id: idCell(c, h, cells), at: c.at, h: h}
	scaleTable.fill(c, h, cells, &r)
	if c.faults > 0 {
		s.faulty[r.scale] = true
		return
	}
	for _, other := range s.rows[r.scale] {
		if other.stage.Name == r.stage.Name {
			c.faultAt(scaleTable.key, "the same stage stands in %s already; keep one of the two", c.im.where(other.at, c.at))
		} else if *other.position == *r.position {
			c.faultAt("position", "%d is the place of %q already, in %s; number the stages from unripe to ripe", *r.position, other.stage.Name, c.im.where(other.at, c.at))
		}
	}
	if c.faults > 0 {
		s.faulty[r.scale] = true
		return
	}
	if s.rows[r.scale] == nil {
		s.order = append(s.order, r.scale)
	}
	s.rows[r.scale] = append(s.rows[r.scale], r)
}

func (s *scaleRows) finish(im *importer) {
	claimed := map[crop.ID]string{}
	for _, name := range s.order {
		if !s.faulty[name] && !im.broken[scalesFile] {
			s.assemble(im, name, claimed)
		}
	}
}

// assemble makes a scale of its rows. The rows of a scale are the whole scale.
func (s *scaleRows) assemble(im *importer, name string, claimed map[crop.ID]string) {
	rows := s.rows[name]
	first := rows[0]
	slices.SortFunc(rows, func(a, b scaleRow) int { return cmp.Compare(*a.position, *b.position) })
	scale := &crop.Scale{Name: name}
	before := len(im.faults.list)
	for _, r := range rows {
		scale.Stages = append(scale.Stages, r.stage)
		if r.id != first.id {
			im.fault(r.at, "id", "differs from the id in %s; all rows of a scale have its id", im.where(first.at, r.at))
		}
		switch {
		case r.ripe && scale.RipeStage != "":
			im.fault(r.at, "ripe", "%q is marked ripe already; mark one stage of the scale", scale.RipeStage)
		case r.ripe:
			scale.RipeStage = r.stage.Name
		}
	}
	if scale.RipeStage == "" {
		im.fault(first.at, "ripe", "no stage of %q is marked; write yes at the one stage at which fruit counts as ripe", name)
	}
	if other, twice := claimed[first.id]; twice && !first.id.IsZero() {
		im.fault(first.at, "id", "is the id of %q as well; an id is of one scale", other)
	}
	claimed[first.id] = name
	if len(im.faults.list) > before {
		s.faulty[name] = true
		return
	}
	stored := im.storedScale(first.id, name)
	switch {
	case stored != nil:
		scale.ID = stored.ID
		keepDescriptions(scale, stored, rows)
	case first.id.IsZero():
		scale.ID = im.store.NewID()
	default:
		scale.ID = first.id
	}
	s.stages[scale.ID] = rows
	if !im.check(scale, first.at) {
		s.faulty[name] = true
		return
	}
	im.registry.scales[scale.ID] = scale
	s.settle(im, scale, stored, rows)
}

func (im *importer) storedScale(id crop.ID, name string) *crop.Scale {
	for i := range im.catalogue.Scales {
		s := &im.catalogue.Scales[i]
		if s.ID == id || id.IsZero() && s.Name == name {
			return s
		}
	}
	return nil
}

// keepDescriptions keeps the stored descriptions of stages whose rows come from a file without that column.
func keepDescriptions(scale, stored *crop.Scale, rows []scaleRow) {
	for i, r := range rows {
		if at := stored.Index(r.stage.Name); at >= 0 && !r.h.has(scaleTable, "description") {
			scale.Stages[i].Description = stored.Stages[at].Description
		}
	}
}

// settle counts the rows of a scale and stores it. All rows of one scale have the same fate.
func (s *scaleRows) settle(im *importer, scale, stored *crop.Scale, rows []scaleRow) {
	count := func(field func(*FileSummary) *int) {
		for _, r := range rows {
			*field(im.tallies[r.at.source])++
		}
	}
	at, column, differences := rows[0].at, "", ""
	if stored != nil {
		at, column, differences = s.difference(scale, stored, rows)
	}
	switch {
	case stored == nil:
		count(func(t *FileSummary) *int { return &t.Created })
	case differences == "":
		count(func(t *FileSummary) *int { return &t.Unchanged })
		return
	case !im.opts.Replace:
		im.fault(at, column, "%s", refusal("scale", differences))
		return
	default:
		for _, r := range rows {
			what := differences
			if r.at != at {
				what = "with the scale's other stages"
			}
			im.replaces(r.at, what)
		}
	}
	im.addChange(scale, rows[0].at)
}

// difference finds the first row in which a scale differs from the stored one, and how; differences is empty if in none.
func (s *scaleRows) difference(scale, stored *crop.Scale, rows []scaleRow) (at rowRef, column, differences string) {
	names, storedNames := strings.Join(scale.Names(), ", "), strings.Join(stored.Names(), ", ")
	switch {
	case scale.Name != stored.Name:
		return rows[0].at, "scale", fmt.Sprintf("scale %s → %s", shown(stored.Name), shown(scale.Name))
	case names != storedNames:
		return rows[0].at, "stage", fmt.Sprintf("stages %s → %s", storedNames, names)
	case scale.RipeStage != stored.RipeStage:
		return rows[scale.Ripe()].at, "ripe", fmt.Sprintf("ripe stage %s → %s", shown(stored.RipeStage), shown(scale.RipeStage))
	}
	for i := range rows {
		if was, is := stored.Stages[i].Description, scale.Stages[i].Description; was != is {
			return rows[i].at, "description", fmt.Sprintf("description %s → %s", shown(was), shown(is))
		}
	}
	return rowRef{}, "", ""
}

// stagePart finds the row of /stages/2/name.
func (s *scaleRows) stagePart(scale *crop.Scale, pointer string) (rowRef, string, bool) {
	parts := strings.Split(pointer, "/")
	if len(parts) != 4 || parts[1] != "stages" {
		return rowRef{}, "", false
	}
	i, err := strconv.Atoi(parts[2])
	rows := s.stages[scale.ID]
	if err != nil || i < 0 || i >= len(rows) {
		return rowRef{}, "", false
	}
	if parts[3] == "name" {
		return rows[i].at, "stage", true
	}
	return rows[i].at, parts[3], true
}
