package csvfile

import (
	"fmt"
	"strings"

	"vinetally/analytics/crop"
)

// Summary says what an import did, or would have done if it was a dry run.
type Summary struct {
	Files []FileSummary // in the order in which they were read
	// Made names the seasons, places and cultivars that were created because a row named them, such as: place "balcony".
	Made   []string
	DryRun bool
	// Taken are the plants of which pickings and losses were stored, in the order in which rows name them.
	Taken []crop.ID
	// Replacements are the rows that would take stored records' places, if it was a dry run, and MoreReplacements counts those
	// beyond the first thousand.
	Replacements     []Replacement
	MoreReplacements int
}

// Replacement is a row that takes a stored record's place.
type Replacement struct {
	File        string
	Line        int
	Differences string // such as: green 12 → 13, red 0 → 1
}

const maxReplacements = 1000

// FileSummary counts the rows of one file.
type FileSummary struct {
	File                               string
	Rows, Created, Replaced, Unchanged int
}

// took notes the plant of a picking or loss that is stored.
func (im *importer) took(r crop.Record) {
	var plant *crop.ID
	switch r := r.(type) {
	case *crop.Picking:
		plant = r.PlantID
	case *crop.Loss:
		plant = r.PlantID
	}
	if plant != nil && !im.taken[*plant] {
		im.taken[*plant] = true
		im.summary.Taken = append(im.summary.Taken, *plant)
	}
}

// Changed returns how many rows stored something.
func (s Summary) Changed() int {
	n := 0
	for _, f := range s.Files {
		n += f.Created + f.Replaced
	}
	return n
}

// String is one line a file, one for what was made beside, one for each row that would replace a record, and one if nothing was
// stored.
func (s Summary) String() string {
	var b strings.Builder
	for _, f := range s.Files {
		fmt.Fprintf(&b, "%s: %s", f.File, plural(f.Rows, "row"))
		var parts []string
		for _, part := range []struct {
			n    int
			what string
		}{{f.Created, "new"}, {f.Replaced, "replaced"}, {f.Unchanged, "stored already"}} {
			if part.n > 0 {
				parts = append(parts, fmt.Sprintf("%d %s", part.n, part.what))
			}
		}
		if len(parts) > 0 {
			b.WriteString(": " + strings.Join(parts, ", "))
		}
		b.WriteByte('\n')
	}
	if len(s.Made) > 0 {
		fmt.Fprintf(&b, "made because rows name them: %s\n", strings.Join(s.Made, ", "))
	}
	for _, r := range s.Replacements {
		fmt.Fprintf(&b, "would replace %s:%d: %s\n", r.File, r.Line, r.Differences)
	}
	if s.MoreReplacements > 0 {
		fmt.Fprintf(&b, "would replace %d more\n", s.MoreReplacements)
	}
	switch {
	case s.DryRun:
		b.WriteString("dry run: nothing was stored\n")
	case s.Changed() == 0 && len(s.Made) == 0:
		b.WriteString("nothing new\n")
	}
	return b.String()
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
