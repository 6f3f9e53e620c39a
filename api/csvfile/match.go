package csvfile

import (
	"fmt"

	"vinetally/analytics/crop"
)

// book knows the stored records of one kind by key and by id, and which rows have spoken of which.
type book[K comparable, T any] struct {
	noun, keyColumns string
	slots            map[K]slot[T]
	byID             map[crop.ID]*T
	claims           map[crop.ID]rowRef
}

// slot is what is known of one key.
type slot[T any] struct {
	stored *T
	n      int32  // how many stored records have the key
	row    rowRef // the last row with the key
	withID bool   // that row has an id
}

func newBook[K comparable, T any](noun, keyColumns string) *book[K, T] {
	return &book[K, T]{noun: noun, keyColumns: keyColumns, slots: map[K]slot[T]{}, byID: map[crop.ID]*T{}, claims: map[crop.ID]rowRef{}}
}

// addStored enters a stored record.
func (b *book[K, T]) addStored(key K, id crop.ID, stored *T) {
	s := b.slots[key]
	s.stored, s.n = stored, s.n+1
	b.slots[key] = s
	b.byID[id] = stored
}

// match returns the stored record that a row is of, nil if it is new. A problem says in which column what is wrong.
func (b *book[K, T]) match(im *importer, key K, id crop.ID, row rowRef, identity func(*T) crop.ID) (stored *T, column, problem string) {
	s := b.slots[key]
	withID := !id.IsZero()
	if s.row.line != 0 && !(withID && s.withID) {
		return nil, b.keyColumns, fmt.Sprintf("the same %s stands in %s already; keep one of the two", b.noun, im.where(s.row, row))
	}
	s.row, s.withID = row, withID
	b.slots[key] = s
	if withID {
		if other, twice := b.claims[id]; twice {
			return nil, "id", fmt.Sprintf("the same id stands in %s already; an id is of one record", im.where(other, row))
		}
		b.claims[id] = row
		return b.byID[id], "", ""
	}
	if s.n > 1 {
		return nil, b.keyColumns, fmt.Sprintf("%d stored records are alike in this; add the id column to say which one is meant", s.n)
	}
	if s.stored == nil {
		return nil, "", ""
	}
	id = identity(s.stored)
	if other, twice := b.claims[id]; twice {
		return nil, b.keyColumns, fmt.Sprintf("this is the record that %s has by its id; keep one of the two", im.where(other, row))
	}
	b.claims[id] = row
	return s.stored, "", ""
}
