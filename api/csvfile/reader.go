package csvfile

import (
	"bufio"
	"bytes"
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
)

const (
	bufferSize = 64 << 10
	// maxRow bounds one row in bytes, so that a quote which is never closed can't draw a whole large file into memory.
	// The longest row that keeps the limits of its texts has well under a tenth of it.
	maxRow = 1 << 20
)

var errRowTooLong = errors.New("a row is longer than 1 MiB; look for a quote that is never closed")

// rowReader reads the rows of one file. Cells and the row itself are only good until the next call.
type rowReader struct {
	csv   *csv.Reader
	input *meter
	cells []string
	line  int // where the row starts, from 1
}

// newRowReader looks at the beginning of a file: it passes over a byte order mark, refuses what is no CSV text, and finds
// out what separates the cells. A problem is meant for the user and has to do with line 1.
func newRowReader(ctx context.Context, file io.Reader) (r *rowReader, problem string, err error) {
	input := &meter{ctx: ctx, from: file}
	buffered := bufio.NewReaderSize(input, bufferSize)
	start, err := buffered.Peek(bufferSize)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, "", err
	}
	if bytes.HasPrefix(start, []byte("\xef\xbb\xbf")) {
		start = start[3:]
		if _, err := buffered.Discard(3); err != nil {
			return nil, "", err
		}
	}
	if problem := notCSV(start); problem != "" {
		return nil, problem, nil
	}
	r = &rowReader{csv: csv.NewReader(buffered), input: input}
	r.csv.Comma = separator(start)
	r.csv.FieldsPerRecord = -1
	r.csv.ReuseRecord = true
	return r, "", nil
}

func notCSV(start []byte) string {
	switch {
	case len(bytes.TrimSpace(start)) == 0:
		return "is empty; the first line names the columns"
	case bytes.HasPrefix(start, []byte("\xff\xfe")), bytes.HasPrefix(start, []byte("\xfe\xff")):
		return "is UTF-16 text; save it as UTF-8"
	case bytes.HasPrefix(start, []byte("PK\x03\x04")):
		return "is a spreadsheet or an archive, not text; save the sheet as CSV (UTF-8)"
	case bytes.IndexByte(start, 0) >= 0:
		return "is not text; save it as CSV (UTF-8)"
	case bytes.IndexByte(start, '\n') < 0 && bytes.IndexByte(start, '\r') >= 0:
		return "ends its lines with CR alone; save it with CRLF or LF"
	}
	return ""
}

// separator is the comma, semicolon or tab that the first line has most of outside quotes, and the comma if none.
func separator(start []byte) rune {
	var commas, semicolons, tabs int
	quoted := false
	for _, b := range bytes.TrimLeft(start, "\r\n") {
		switch {
		case b == '"':
			quoted = !quoted
		case quoted:
		case b == ',':
			commas++
		case b == ';':
			semicolons++
		case b == '\t':
			tabs++
		}
		if b == '\n' && !quoted {
			break
		}
	}
	switch {
	case semicolons > commas && semicolons >= tabs:
		return ';'
	case tabs > commas:
		return '\t'
	}
	return ','
}

// next reads the next row that isn't blank; io.EOF says that there is none. After a problem, which is meant for the
// user, what follows in the file can't be trusted.
func (r *rowReader) next() (problem string, err error) {
	for {
		r.input.rowStart = r.csv.InputOffset()
		r.cells, err = r.csv.Read()
		if parse, ok := errors.AsType[*csv.ParseError](err); ok {
			r.line = parse.StartLine
			return syntaxProblem(parse), nil
		}
		if err != nil {
			return "", err
		}
		if !blank(r.cells) {
			r.line, _ = r.csv.FieldPos(0)
			return "", nil
		}
	}
}

func blank(cells []string) bool {
	for _, cell := range cells {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	return true
}

func syntaxProblem(e *csv.ParseError) string {
	switch {
	case errors.Is(e.Err, csv.ErrBareQuote):
		return `has a quote inside a cell that isn't quoted; write the cell as "…" with every quote in it doubled`
	case errors.Is(e.Err, csv.ErrQuote) && e.Line > e.StartLine:
		return fmt.Sprintf("has a quoted cell that is not closed properly by line %d; close the quote, and double quotes inside it", e.Line)
	case errors.Is(e.Err, csv.ErrQuote):
		return "has a quoted cell that is not closed properly; close the quote, and double quotes inside it"
	}
	return e.Err.Error()
}

// meter counts the bytes that were read, and stops reading when the import is cancelled or a row grows too long.
type meter struct {
	ctx            context.Context
	from           io.Reader
	read, rowStart int64
}

func (m *meter) Read(p []byte) (int, error) {
	if err := m.ctx.Err(); err != nil {
		return 0, err
	}
	if m.read-m.rowStart > maxRow+bufferSize {
		return 0, errRowTooLong
	}
	n, err := m.from.Read(p)
	m.read += int64(n)
	return n, err
}
