package csvfile

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// MaxFaults is how many faults an import collects before it gives up.
const MaxFaults = 50

// Fault is one thing wrong in one file.
type Fault struct {
	File string
	// Line is where the record starts, counted from 1; 0 where the fault is of the whole file.
	Line int
	// Column is empty where the fault is of the whole line.
	Column string
	What   string
}

// String is FILE:LINE: column: what.
func (f Fault) String() string {
	var b strings.Builder
	b.WriteString(f.File)
	if f.Line > 0 {
		fmt.Fprintf(&b, ":%d", f.Line)
	}
	if f.Column != "" {
		b.WriteString(": " + f.Column)
	}
	b.WriteString(": " + f.What)
	return b.String()
}

// FaultError says why an import was refused. Nothing was stored.
type FaultError struct {
	Faults []Fault // in the order of the files and their lines, MaxFaults at most
	// More tells that reading stopped at MaxFaults, so that there may be others.
	More bool
}

// Error lists the faults, one a line.
func (e *FaultError) Error() string {
	lines := make([]string, len(e.Faults), len(e.Faults)+1)
	for i, f := range e.Faults {
		lines[i] = f.String()
	}
	if e.More {
		lines = append(lines, fmt.Sprintf("stopped after %d faults; mend these and import again", len(e.Faults)))
	}
	return strings.Join(lines, "\n")
}

// Unwrap gives the error the code of records that break a rule.
func (e *FaultError) Unwrap() error {
	return crop.Errorf(crop.Invalid, "%d faults in the files; nothing was stored", len(e.Faults))
}

// rowRef says where a row stands: the source's number, from 0, and the line, from 1. The zero rowRef is of no row.
type rowRef struct{ source, line int32 }

// faultList collects the faults of one import.
type faultList struct {
	list []placedFault
	more bool
}

type placedFault struct {
	rowRef
	Fault
}

func (l *faultList) add(at rowRef, file, column, what string) {
	if l.full() {
		l.more = true
		return
	}
	l.list = append(l.list, placedFault{at, Fault{File: file, Line: int(at.line), Column: column, What: what}})
}

// take adds faults that were held back.
func (l *faultList) take(held []placedFault) {
	for _, f := range held {
		l.add(f.rowRef, f.File, f.Column, f.What)
	}
}

// none tells whether there is no fault so far.
func (l *faultList) none() bool { return len(l.list) == 0 }

// full tells whether reading on is of no use.
func (l *faultList) full() bool { return len(l.list) >= MaxFaults }

// err returns all faults in the order of files and lines, or nil.
func (l *faultList) err() error {
	if len(l.list) == 0 {
		return nil
	}
	slices.SortStableFunc(l.list, func(a, b placedFault) int {
		if a.source != b.source {
			return int(a.source) - int(b.source)
		}
		return int(a.line) - int(b.line)
	})
	e := &FaultError{More: l.more || l.full()}
	for _, f := range l.list {
		e.Faults = append(e.Faults, f.Fault)
	}
	return e
}
