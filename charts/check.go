package charts

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
)

var anchor = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

// reserved are the anchors that the page itself uses; ownEnding matches those it makes from a section's.
var (
	reserved  = map[string]bool{"main": true, "answer": true, "contents": true, "rests-on": true, "warnings": true, "cautions": true, "open-tables": true}
	ownEnding = regexp.MustCompile(`^hatch-|-(heading|chart|option|table|filter)$`)
)

// Check returns everything that is wrong with the page, joined: faults of structure, for which [WriteFile] and
// [WriteServed] write nothing, and figures that can't be drawn, which they replace by a sentence. Tests of code that
// fills pages want it to be nil.
func Check(p Page) error {
	faults := []error{checkStructure(p)}
	for i, s := range p.Sections {
		if s.Figure == nil {
			continue
		}
		if _, err := s.Figure.draw(); err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", sectionName(i, s), err))
		}
	}
	return errors.Join(faults...)
}

func checkStructure(p Page) error {
	var faults []error
	fault := func(format string, args ...any) { faults = append(faults, fmt.Errorf(format, args...)) }
	if p.Title == "" {
		fault("the page has no title")
	}
	seen := map[string]bool{}
	for i, s := range p.Sections {
		name := sectionName(i, s)
		if s.Heading == "" {
			fault("%s has no heading", name)
		}
		id := sectionID(i, s)
		switch {
		case !anchor.MatchString(id):
			fault("%s: the id %q is not a lower-case letter followed by letters, digits and hyphens", name, id)
		case reserved[id] || ownEnding.MatchString(id):
			fault("%s: the id %q is used by the page itself", name, id)
		case seen[id]:
			fault("%s: the id %q is used twice", name, id)
		}
		seen[id] = true
		if s.Figure != nil && s.Sentence == "" {
			fault("%s has a figure but no sentence that says what it shows", name)
		}
		if s.Table == nil {
			continue
		}
		if s.Table.Caption == "" {
			fault("%s: the table has no caption", name)
		}
		if len(s.Table.Columns) == 0 {
			fault("%s: the table has no columns", name)
		}
		for r, row := range s.Table.Rows {
			if len(row) != len(s.Table.Columns) {
				fault("%s: table row %d has %d cells for %d columns", name, r+1, len(row), len(s.Table.Columns))
			}
		}
		if s.Table.RowLinks != nil && len(s.Table.RowLinks) != len(s.Table.Rows) {
			fault("%s: the table has %d row links for %d rows", name, len(s.Table.RowLinks), len(s.Table.Rows))
		}
	}
	return errors.Join(faults...)
}

func sectionID(i int, s Section) string {
	if s.ID != "" {
		return s.ID
	}
	return "s" + strconv.Itoa(i+1)
}

func sectionName(i int, s Section) string {
	return fmt.Sprintf("section %d (%q)", i+1, s.Heading)
}
