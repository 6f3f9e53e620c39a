package api

import (
	"bufio"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"

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
	before := len(b.faults.list)
	for i, name := range header {
		cell := strings.TrimSpace(cells[i])
		switch name {
		case "place":
			t.PlaceID, _ = b.place(line, cell)
		case "place_id":
			id, err := crop.ParseID(cell)
			if err != nil {
				b.fault(line, "/place_id", "%.60q is %s", cell, err)
			}
			t.PlaceID = id
		case "measured_at":
			m, err := crop.ParseMoment(cell)
			if err != nil || !m.TimeKnown() {
				b.fault(line, "/measured_at", "%.60q is not a time as RFC 3339 with an offset, such as 2026-02-03T08:15:00Z", cell)
			}
			t.MeasuredAt = m.At
		case "air_c":
			t.AirC = b.number(line, cell)
		}
	}
	if len(b.faults.list) > before || b.faults.more {
		return !b.faults.full()
	}
	return b.take(line, &t)
}

func (b *bulk) number(line int, cell string) *float64 {
	x, err := strconv.ParseFloat(cell, 64)
	if err != nil || strings.ContainsAny(cell, "xXpP_iInN") {
		mend := "write a number of °C"
		if strings.Contains(cell, ",") {
			mend = "write the number with a decimal point"
		}
		b.fault(line, "/air_c", "%.60q is not a temperature; %s", cell, mend)
		return nil
	}
	return &x
}
