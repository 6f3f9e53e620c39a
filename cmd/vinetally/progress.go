package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"vinetally/api/csvfile"
)

// How long an import runs before it says how far it is, and between two such lines: on a terminal, where one line is written
// over and over, and into a file or a pipe, where each line stays.
const (
	terminalPause = time.Second
	linePause     = 15 * time.Second
)

// progress tells how far a long import is, how fast it is and how long the rest will take.
func progress(w io.Writer) (tell func(csvfile.Progress), done func()) {
	r := &reporter{w: w, pause: linePause, now: time.Now}
	if file, ok := w.(*os.File); ok {
		if info, err := file.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			r.pause, r.terminal = terminalPause, true
		}
	}
	r.start = r.now()
	r.last = r.start
	return r.tell, r.done
}

type reporter struct {
	w           io.Writer
	pause       time.Duration
	terminal    bool
	now         func() time.Time
	start, last time.Time
	file        string // being read
	fileStart   time.Time
	told        bool
}

func (r *reporter) tell(p csvfile.Progress) {
	now := r.now()
	if p.File != r.file {
		r.file, r.fileStart = p.File, r.last
	}
	if now.Sub(r.last) < r.pause {
		return
	}
	r.last, r.told = now, true
	line := progressLine(p, now.Sub(r.fileStart), now.Sub(r.start))
	if r.terminal {
		fmt.Fprintf(r.w, "\r\x1b[K%s", line)
	} else {
		fmt.Fprintln(r.w, line)
	}
}

// done takes the line of a terminal away.
func (r *reporter) done() {
	if r.terminal && r.told {
		fmt.Fprint(r.w, "\r\x1b[K")
	}
}

// progressLine is such as “counts.csv: 240,000 rows, 24 %, 80,000 rows a second, about 10 s left”. inFile and inAll are how
// long the file and the whole import have been read.
func progressLine(p csvfile.Progress, inFile, inAll time.Duration) string {
	parts := []string{grouped(int64(p.Rows)) + " rows"}
	if p.Size > 0 {
		parts = append(parts, fmt.Sprintf("%d %%", 100*min(p.Read, p.Size)/p.Size))
	}
	if inFile > 0 {
		parts = append(parts, grouped(int64(float64(p.Rows)/inFile.Seconds()))+" rows a second")
	}
	if read := p.Before + p.Read; p.Total > 0 && read > 0 {
		left := time.Duration(float64(inAll) * float64(max(p.Total-read, 0)) / float64(read))
		parts = append(parts, "about "+left.Round(time.Second).String()+" left")
	}
	return p.File + ": " + strings.Join(parts, ", ")
}

// grouped writes a number with commas between its thousands.
func grouped(n int64) string {
	text := fmt.Sprint(n)
	for i := len(text) - 3; i > 0; i -= 3 {
		text = text[:i] + "," + text[i:]
	}
	return text
}
