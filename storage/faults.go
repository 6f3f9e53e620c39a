package storage

import (
	"cmp"
	"fmt"
	"slices"

	"vinetally/analytics/crop"
)

// maxFaults is how many faults of a batch are told.
const maxFaults = 1000

// faults collects what is wrong with a batch.
type faults struct {
	list  []crop.Fault
	codes map[crop.Code]bool
	more  int
}

func (f *faults) add(code crop.Code, item int, pointer, format string, args ...any) {
	if f.codes == nil {
		f.codes = map[crop.Code]bool{}
	}
	f.codes[code] = true
	if len(f.list) == maxFaults {
		f.more++
		return
	}
	f.list = append(f.list, crop.Fault{Item: item, Pointer: pointer, Detail: fmt.Sprintf(format, args...)})
}

// error returns the faults as one error, nil if there are none. Its code is that of the gravest fault: what must be mended
// in the records comes before what only needs reading again.
func (f *faults) error(changes int) error {
	if len(f.list) == 0 {
		return nil
	}
	e := &crop.Error{Faults: f.list}
	for _, code := range []crop.Code{crop.Invalid, crop.NotFound, crop.Conflict, crop.Stale} {
		if f.codes[code] {
			e.Code = code
			break
		}
	}
	slices.SortStableFunc(e.Faults, func(a, b crop.Fault) int { return cmp.Compare(a.Item, b.Item) })
	switch n := len(f.list) + f.more; {
	case changes == 1:
		e.Message = "the record is refused"
	case n == 1:
		e.Message = fmt.Sprintf("one of %d records is refused, nothing was stored", changes)
	case f.more > 0:
		e.Message = fmt.Sprintf("%d faults in %d records, of which %d are told here; nothing was stored", n, changes, maxFaults)
	default:
		e.Message = fmt.Sprintf("%d faults in %d records, nothing was stored", n, changes)
	}
	return e
}
