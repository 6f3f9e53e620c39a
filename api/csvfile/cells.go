package csvfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"vinetally/analytics/crop"
)

// cell is the cell being read, with what the row's earlier columns named.
type cell struct {
	im     *importer
	at     rowRef
	column string
	text   string // as read; unguarded in text columns
	faults int    // of this row

	bad      []string // columns of this row that have faults
	badStage bool     // one of them is the count of a stage

	season   *season
	plant    *plant
	place    *crop.Place
	cultivar *crop.Cultivar
}

func (c *cell) fault(format string, args ...any) { c.faultAt(c.column, format, args...) }

func (c *cell) faultAt(column, format string, args ...any) {
	c.faults++
	if !c.im.again {
		c.bad = append(c.bad, column)
		c.im.fault(c.at, column, format, args...)
	}
}

// spoil marks the row as one that can't be taken, for a fault that is told elsewhere.
func (c *cell) spoil(column string) {
	c.faults++
	c.bad = append(c.bad, column)
}

// trimmed returns the text in the form that names have; numbers and dates have no other.
func (c *cell) trimmed() string { return crop.Name(c.text) }

// name returns the trimmed text, kept once however often it comes.
func (c *cell) name() string { return c.im.keep(c.trimmed()) }

// note returns the text with its space.
func (c *cell) note() string { return c.im.keep(crop.Text(c.text)) }

// word returns a fixed word in lower case.
func (c *cell) word() string { return c.im.keep(strings.ToLower(c.trimmed())) }

// whole returns a whole number, nil if the cell is empty.
func (c *cell) whole() *int {
	if n, given := c.count(); given {
		return &n
	}
	return nil
}

// count returns a whole number, and whether there is one.
func (c *cell) count() (n int, given bool) {
	s := c.trimmed()
	if s == "" {
		return 0, false
	}
	n, err := strconv.Atoi(s)
	switch {
	case err == nil:
		return n, true
	case errors.Is(err, strconv.ErrRange):
		c.fault("%q is too large to be meant; mend it", s)
	case strings.Contains(s, ","):
		c.fault("%q has a comma; write whole numbers with digits alone", s)
	default:
		c.fault("%q is not a whole number; write it with digits alone", s)
	}
	return 0, false
}

func (c *cell) number() *float64 {
	s := strings.ReplaceAll(c.trimmed(), "−", "-") // spreadsheets of some languages write a minus sign
	if s == "" {
		return nil
	}
	if strings.Contains(s, ",") {
		c.fault("%q has a comma; write a decimal point, and nothing between thousands", s)
		return nil
	}
	// ParseFloat knows more than a column of figures should hold: hexadecimal, underscores, infinity.
	x, err := strconv.ParseFloat(s, 64)
	if strings.Trim(s, "0123456789+-.eE") != "" || err != nil && !errors.Is(err, strconv.ErrRange) {
		c.fault("%q is not a number; write it with digits, a decimal point and, below zero, a minus sign", s)
		return nil
	}
	if err != nil {
		c.fault("%q is too large to be meant; mend it", s)
		return nil
	}
	return &x
}

func (c *cell) yes() bool {
	switch c.word() {
	case "yes", "true", "1":
		return true
	case "", "no", "false", "0":
		return false
	}
	c.fault("%q is neither yes nor no; write yes, no, true, false, 1, 0 or leave it empty", c.trimmed())
	return false
}

func (c *cell) date() *crop.Date {
	s := c.trimmed()
	if s == "" {
		return nil
	}
	d, err := crop.ParseDate(s)
	if err != nil {
		c.fault("%s", crop.DateProblem(s, "write YYYY-MM-DD"))
		return nil
	}
	return &d
}

// moment reads a time or a day alone, by the clock that zone returns for the written day; zone is only asked where the
// offset is not written, and returns nil after a fault.
func (c *cell) moment(zone func(crop.Date) *time.Location) crop.Moment {
	s := c.trimmed()
	if s == "" {
		return crop.Moment{}
	}
	written, err := crop.ParseClockTime(s)
	if err != nil {
		c.fault("%s", err)
		return crop.Moment{}
	}
	if !written.Timed {
		return crop.DayMoment(written.Day, time.UTC) // Check gives it the place's zone
	}
	var loc *time.Location
	if !written.Zoned {
		if loc = zone(written.Day); loc == nil {
			return crop.Moment{}
		}
	}
	t, err := written.At(loc)
	if err != nil {
		c.fault("%s", err)
		return crop.Moment{}
	}
	return crop.InstantMoment(t)
}

// id returns the id that the row gives, or the zero ID.
func (c *cell) id() crop.ID {
	s := c.trimmed()
	if s == "" {
		return crop.ID{}
	}
	id, err := crop.ParseID(s)
	if err != nil {
		c.fault("%q is %v; leave it empty to know the row by its key", s, err)
	} else if id.IsZero() {
		c.fault("an id of zeros alone is none; leave it empty")
	}
	return id
}

// fill reads a row into r. It may be called again, to read the same row over a stored record.
func (t *table[T]) fill(c *cell, h *header, cells []string, r *T) {
	for i := range t.columns {
		if h.at[i] < 0 {
			continue
		}
		col := &t.columns[i]
		c.column, c.text = col.name, cells[h.at[i]]
		if col.text {
			c.text = unguard(c.text)
		}
		switch {
		case !utf8.ValidString(c.text):
			c.fault("is not UTF-8; save the file as UTF-8")
			continue
		case col.need == mustGiven && c.trimmed() == "":
			c.fault("is empty; every row needs it")
			continue
		}
		col.read(c, r)
	}
	if len(c.bad) > 0 {
		c.badStage = slices.ContainsFunc(t.columns, func(col column[T]) bool { return col.stage && slices.Contains(c.bad, col.name) })
	}
	if t.complete != nil {
		c.column = ""
		t.complete(c, r)
	}
}

// The texts of values, as they are written.

func wholeText(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

// numberText is the shortest text that reads back to the same number.
func numberText(x *float64) string {
	if x == nil {
		return ""
	}
	if s := strconv.FormatFloat(*x, 'f', -1, 64); len(s) <= 32 {
		return s
	}
	return strconv.FormatFloat(*x, 'g', -1, 64)
}

func yesText(yes bool) string {
	if yes {
		return "yes"
	}
	return ""
}

func dateText(d *crop.Date) string {
	if d == nil {
		return ""
	}
	return d.String()
}

// shown is a value in a message, with � for what isn't UTF-8.
func shown(s string) string {
	s = strings.ToValidUTF8(s, "�")
	if s == "" {
		return "nothing"
	}
	if short := []rune(s); len(short) > 40 {
		s = string(short[:39]) + "…"
	}
	if strings.ContainsAny(s, " ,\n\t\"") {
		return fmt.Sprintf("%q", s)
	}
	return s
}
