package main

import (
	"fmt"
	"io"
	"os"
	"time"

	"vinetally/api/csvfile"
)

// progressPause is how long an import runs before it says how far it is, and between two such lines.
const progressPause = time.Second

// progress prints how far a long import is, one line rewritten in place, if w is a terminal.
func progress(w io.Writer) func(csvfile.Progress) {
	file, ok := w.(*os.File)
	if !ok {
		return nil
	}
	info, err := file.Stat()
	if err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil
	}
	last := time.Now()
	return func(p csvfile.Progress) {
		if time.Since(last) < progressPause {
			return
		}
		last = time.Now()
		switch {
		case p.Size > 0:
			fmt.Fprintf(file, "\r\x1b[K%s: %d rows, %d %%", p.File, p.Rows, 100*p.Read/p.Size)
		default:
			fmt.Fprintf(file, "\r\x1b[K%s: %d rows", p.File, p.Rows)
		}
	}
}
