package api

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// items are the items of a sync as they were read.
type items struct {
	changes []crop.Change        // of a faulty item what could be read
	form    map[int][]crop.Fault // the faulty items, with the faults of their form; pointers are from the item
	rules   map[int][]crop.Fault // the rules that items break, where that can be told beside the faults of the form
	cut     bool                 // it wasn't read to its end, since there were faults enough
	tooMany bool
}

func (s *items) add(c crop.Change, wrong []crop.Fault) {
	if len(wrong) > 0 {
		if s.form == nil {
			s.form, s.rules = map[int][]crop.Fault{}, map[int][]crop.Fault{}
		}
		s.form[len(s.changes)] = wrong
	}
	s.changes = append(s.changes, c)
}

// addRules finds the rules that the items break beside the faults of the form: of whole items by trying them, so that what was
// stored before stays right; of faulty ones with the fields that could be read. What refers to a faulty item, or to a record that
// stands in the list more than once, isn't known before that is mended, and neither is anything if an item doesn't say which
// record it is of.
func (s *items) addRules(ctx context.Context, server *server) {
	refs := newLookups(ctx, server.store)
	for i, c := range s.changes {
		if c.Record == nil || c.Record.Identity().IsZero() {
			return
		}
		n := nameOf(c.Record)
		_, twice := refs.known[n]
		refs.unsure[n] = refs.unsure[n] || twice || s.form[i] != nil
		refs.known[n] = c.Record
		if c.Delete {
			refs.known[n] = nil
		}
	}
	tried := s.try(ctx, server)
	for i, c := range s.changes {
		if c.Delete {
			continue
		}
		refs.met = false
		broken := crop.Check(c.Record, refs, server.now())
		switch form := s.form[i]; {
		case refs.failed:
			clear(s.rules)
			return
		case refs.met:
		case form == nil:
			for _, f := range broken {
				if f.Item = i; slices.Contains(tried, f) {
					s.rules[i] = append(s.rules[i], f)
				}
			}
		default:
			s.rules[i] = besideForm(c.Record.RecordKind(), inRecord(form), broken)
		}
	}
}

// try asks the store what it would refuse of the whole items.
func (s *items) try(ctx context.Context, server *server) []crop.Fault {
	var whole []crop.Change
	var at []int
	for _, i := range inOrderOfBase(s.changes) {
		if s.form[i] == nil {
			whole, at = append(whole, s.changes[i]), append(at, i)
		}
	}
	if len(whole) == 0 {
		return nil
	}
	_, err := server.store.Apply(ctx, whole, crop.ApplyOptions{DryRun: true})
	e, ok := errors.AsType[*crop.Error](err)
	if !ok {
		return nil
	}
	tried := slices.Clone(e.Faults)
	for i := range tried {
		tried[i].Item = at[tried[i].Item]
	}
	return tried
}

// inRecord points the faults of an item at its record; what is wrong beside the record is left out.
func inRecord(form []crop.Fault) []crop.Fault {
	var all []crop.Fault
	for _, f := range form {
		if at, ok := strings.CutPrefix(f.Pointer, "/record"); ok {
			f.Pointer = at
			all = append(all, f)
		}
	}
	return all
}

// refusal is nil if nothing is wrong with any item.
func (s *items) refusal() error {
	var told itemFaults
	faulty := slices.Concat(slices.Collect(maps.Keys(s.form)), slices.Collect(maps.Keys(s.rules)))
	slices.Sort(faulty)
	for _, i := range slices.Compact(faulty) {
		for _, f := range s.form[i] {
			told.at(fmt.Sprintf("/items/%d%s", i, f.Pointer), "%s", f.Detail)
		}
		for _, f := range s.rules[i] {
			told.at(fmt.Sprintf("/items/%d/record%s", i, f.Pointer), "%s", f.Detail)
		}
	}
	if s.tooMany {
		told.at("/items", "has more than %d records; send them in several requests", mostItems)
	}
	told.more = told.more || s.cut
	return told.problem(invalidRecord)
}
