package csvfile

import (
	"fmt"
	"strings"
)

// Summary says what an import did, or would have done if it was a dry run.
type Summary struct {
	Files []FileSummary // in the order in which they were read
	// Made names the seasons, places and cultivars that were created because a row named them, such as: place "balcony".
	Made   []string
	DryRun bool
}

// FileSummary counts the rows of one file.
type FileSummary struct {
	File                               string
	Rows, Created, Replaced, Unchanged int
}

// Changed returns how many rows stored something.
func (s Summary) Changed() int {
	n := 0
	for _, f := range s.Files {
		n += f.Created + f.Replaced
	}
	return n
}

// String is one line a file, one for what was made beside, and one if nothing was stored.
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
