package api

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// csvColumns are the columns of a CSV of temperatures, place or place_id, in any order.
var csvColumns = []string{"place", "place_id", "measured_at", "air_c"}

// readCSV reads RFC 4180 in UTF-8 with a header line.
func (b *bulk) readCSV(body *bulkReader) error {
	b.locate = func(line int, field, detail string) fault {
		return fault{Line: line, Column: strings.TrimPrefix(field, "/"), Detail: detail}
	}
	input := bufio.NewReaderSize(body, 64<<10)
	if mark, err := input.Peek(3); err == nil && string(mark) == "\ufeff" {
		_, _ = input.Discard(3) // the byte-order mark that spreadsheets write
	}
	rows := csv.NewReader(input)
	rows.ReuseRecord = true
	rows.FieldsPerRecord = -1 // told below, in our words
	var header []string
	for {
		cells, err := rows.Read()
		if errors.Is(err, io.EOF) {
			if header == nil {
				return refuse(malformedCSV, "the body is empty; its first line names the columns, place or place_id, measured_at and air_c")
			}
			return nil
		}
		if err != nil {
			return refuseCSV(body, err, b)
		}
		line, _ := rows.FieldPos(0)
		if header == nil {
			if header, err = csvHeader(cells); err != nil {
				return err
			}
			continue
		}
		if len(cells) != len(header) {
			b.fault(line, "", "has %d cells where the header has %d; mend the separators, or quote a cell that contains one", len(cells), len(header))
			if b.faults.full() {
				return nil
			}
			continue
		}
		if !b.takeRow(line, header, cells) {
			return nil
		}
	}
}

func csvHeader(cells []string) ([]string, error) {
	header := make([]string, len(cells))
	for i, cell := range cells {
		header[i] = strings.ToLower(strings.TrimSpace(cell))
		if !slices.Contains(csvColumns, header[i]) {
			p := refuse(malformedCSV, "%.60q is not a column here; the columns are place or place_id, measured_at and air_c, separated by commas", cell)
			p.Errors = []fault{{Line: 1, Detail: p.Detail}}
			return nil, p
		}
	}
	has := func(name string) int {
		n := 0
		for _, h := range header {
			if h == name {
				n++
			}
		}
		return n
	}
	if has("place")+has("place_id") != 1 || has("measured_at") != 1 || has("air_c") != 1 {
		p := refuse(malformedCSV, "the header must have each of place or place_id, measured_at and air_c once")
		p.Errors = []fault{{Line: 1, Detail: p.Detail}}
		return nil, p
	}
	return header, nil
}

func refuseCSV(body *bulkReader, err error, b *bulk) error {
	if body.err != nil {
		return body.refuse(err, b.server.limits.Bulk)
	}
	wrong, ok := errors.AsType[*csv.ParseError](err)
	if !ok {
		return err
	}
	p := refuse(malformedCSV, "line %d can't be read: a quote is not closed, or stands inside a cell without quotes; double it and put the cell in quotes", wrong.StartLine)
	p.Errors = []fault{{Line: wrong.StartLine, Detail: p.Detail}}
	return p
}

// takeRow reads the cells of one line.
func (b *bulk) takeRow(line int, header, cells []string) bool {
	var t crop.Temperature
	var form []crop.Fault
	var at string
	for i, name := range header {
		cell := crop.Name(cells[i])
		var wrong string
		switch name {
		case "place":
			var f []crop.Fault
			t.PlaceID, f = b.place(cell)
			form = append(form, f...)
		case "place_id":
			t.PlaceID, wrong = cellID(cell)
		case "measured_at":
			at = cell // once the place is known
		case "air_c":
			t.AirC, wrong = cellNumber(cell)
		}
		if wrong != "" {
			form = append(form, crop.Fault{Pointer: "/" + name, Detail: wrong})
		}
	}
	var wrong string
	if t.MeasuredAt, wrong = b.cellTime(at, t.PlaceID); wrong != "" {
		form = append(form, crop.Fault{Pointer: "/measured_at", Detail: wrong})
	}
	return b.take(line, &t, form)
}

// The cells' readers return what is wrong with a cell, in words. An empty one is a rule's business.

func cellID(cell string) (id crop.ID, wrong string) {
	if cell == "" {
		return id, ""
	}
	id, err := crop.ParseID(cell)
	if err != nil {
		return id, fmt.Sprintf("is %.60q, which is %s", cell, err)
	}
	return id, ""
}

// cellTime reads a time with an offset, or without one by the clock of the place, as the import of files does.
func (b *bulk) cellTime(cell string, place crop.ID) (at time.Time, wrong string) {
	if cell == "" {
		return at, ""
	}
	written, err := crop.ParseClockTime(cell)
	switch {
	case err != nil:
		return at, err.Error()
	case !written.Timed:
		return at, fmt.Sprintf("is %.60q, a day without a time; a reading needs the time, such as %sT08:15", cell, written.Day)
	}
	loc := time.UTC
	if p := b.places[place]; p != nil {
		loc = p.Location()
	} // else the place has a fault, and what the time is doesn't matter
	if at, err = written.At(loc); err != nil {
		return time.Time{}, err.Error()
	}
	if at.Year() < 1900 || at.Year() > 2999 {
		return time.Time{}, fmt.Sprintf("is %.60q; the year must be 1900 to 2999", cell)
	}
	return at.Truncate(time.Millisecond), ""
}

func cellNumber(cell string) (x *float64, wrong string) {
	if cell == "" {
		return nil, ""
	}
	f, err := strconv.ParseFloat(cell, 64)
	switch {
	case err == nil && !strings.ContainsAny(cell, "xXpP_iInN"):
		return &f, ""
	case strings.Contains(cell, ","):
		return nil, fmt.Sprintf("is %.60q, which is not a temperature; write the number with a decimal point", cell)
	}
	return nil, fmt.Sprintf("is %.60q, which is not a temperature; write a number of °C", cell)
}
