package charts

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode"
)

// TableFile is one table of a page as a CSV file.
type TableFile struct {
	Name  string // such as picked-so-far-by-cultivar.csv
	Table *Table
}

// TableFiles are the tables of a page, named after their sections. They hold the very cells of the page.
func TableFiles(p Page) []TableFile {
	var files []TableFile
	names := map[string]int{}
	for i := range p.Sections {
		s := &p.Sections[i]
		if s.Table == nil {
			continue
		}
		name := fileName(s.Heading)
		if names[name]++; names[name] > 1 {
			name += fmt.Sprintf("-%d", names[name])
		}
		files = append(files, TableFile{name + ".csv", s.Table})
	}
	return files
}

// fileName is a heading in lower-case letters and digits of any script, with hyphens between.
func fileName(heading string) string {
	words := strings.FieldsFunc(strings.ToLower(heading), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	if len(words) == 0 {
		return "table"
	}
	return strings.Join(words, "-")
}

// Write writes the table with a header line of names and units, RFC 4180. A cell that a spreadsheet would run as a formula is
// guarded by an apostrophe.
func (f TableFile) Write(w io.Writer) error {
	out := csv.NewWriter(w)
	out.UseCRLF = true
	var header []string
	for _, c := range f.Table.Columns {
		name := c.Name
		if c.Unit != "" {
			name += " (" + c.Unit + ")"
		}
		header = append(header, guarded(name))
	}
	if err := out.Write(header); err != nil {
		return err
	}
	for _, row := range f.Table.Rows {
		cells := make([]string, len(row))
		for i, cell := range row {
			cells[i] = guarded(cell)
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return out.Error()
}

func guarded(cell string) string {
	if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
