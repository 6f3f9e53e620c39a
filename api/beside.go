package api

import (
	"context"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// rulesBeside returns the rules that a record of which some fields couldn't be read breaks with the others, so that all of it
// is told at once.
func (s *server) rulesBeside(ctx context.Context, record crop.Record, form []crop.Fault) []crop.Fault {
	if record.Identity().IsZero() {
		record.SetIdentity(s.store.NewID())
	}
	refs := newLookups(ctx, s.store)
	broken := crop.Check(record, refs, s.now())
	if refs.failed {
		return nil
	}
	return besideForm(record.RecordKind(), form, broken)
}

// besideForm drops the broken rules that may be owed to a fault of the form: those of the same field, and those that look at it.
func besideForm(kind crop.Kind, form, broken []crop.Fault) []crop.Fault {
	return slices.DeleteFunc(broken, func(b crop.Fault) bool {
		field := fieldOf(b.Pointer)
		return slices.ContainsFunc(form, func(f crop.Fault) bool {
			wrong := fieldOf(f.Pointer)
			if wrong == "time_known" {
				wrong = momentField(kind)
			}
			return f.Pointer == "" || within(f.Pointer, b.Pointer) || within(b.Pointer, f.Pointer) ||
				wrong != fieldOf(f.Pointer) && wrong == field || slices.Contains(crop.RestsOn(kind, field), wrong)
		})
	})
}

// fieldOf is the field of the record that a pointer leads into.
func fieldOf(pointer string) string {
	field, _, _ := strings.Cut(strings.TrimPrefix(pointer, "/"), "/")
	return field
}

// within tells whether one pointer leads to the place of the other or into it.
func within(inner, outer string) bool {
	return inner == outer || strings.HasPrefix(inner, outer+"/")
}

// lookups answers what records refer to from the store, under what a request is about to store.
type lookups struct {
	ctx    context.Context
	store  Store
	known  map[named]crop.Record // nil for what isn't there, or is deleted by the request
	unsure map[named]bool        // can't be known before the request is mended
	met    bool                  // something unsure was asked for
	failed bool                  // the store didn't answer
}

type named struct {
	kind crop.Kind
	id   crop.ID
}

func nameOf(r crop.Record) named { return named{r.RecordKind(), r.Identity()} }

func newLookups(ctx context.Context, store Store) *lookups {
	return &lookups{ctx: ctx, store: store, known: map[named]crop.Record{}, unsure: map[named]bool{}}
}

func find[T any](l *lookups, kind crop.Kind, id crop.ID) (*T, bool) {
	n := named{kind, id}
	l.met = l.met || l.unsure[n]
	r, looked := l.known[n]
	if !looked && !id.IsZero() {
		stored, err := l.store.Get(l.ctx, kind, id)
		if err == nil {
			r = stored.Record
		}
		l.failed = l.failed || err != nil && crop.CodeOf(err) != crop.NotFound
		l.known[n] = r
	}
	t, ok := any(r).(*T)
	return t, ok
}

// Season, Place, Scale, Cultivar and Plant make lookups a crop.Refs.
func (l *lookups) Season(id crop.ID) (*crop.Season, bool) {
	return find[crop.Season](l, crop.Seasons, id)
}

func (l *lookups) Place(id crop.ID) (*crop.Place, bool) {
	return find[crop.Place](l, crop.Places, id)
}

func (l *lookups) Scale(id crop.ID) (*crop.Scale, bool) {
	return find[crop.Scale](l, crop.Scales, id)
}

func (l *lookups) Cultivar(id crop.ID) (*crop.Cultivar, bool) {
	return find[crop.Cultivar](l, crop.Cultivars, id)
}

func (l *lookups) Plant(id crop.ID) (*crop.Plant, bool) {
	return find[crop.Plant](l, crop.Plants, id)
}
