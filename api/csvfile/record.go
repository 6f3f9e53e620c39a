package csvfile

import (
	"fmt"
	"slices"
	"strings"

	"vinetally/analytics/crop"
)

// kind reads rows that each are one whole record.
type kind[K comparable, T any, P record[T]] struct {
	*book[K, T]
	key   func(*T) K
	clone func(*T) *T
	// register makes the record known to later rows; nil if nothing refers to the kind.
	register func(P)
	// broken is told of a row with faults; may be nil.
	broken func(c *cell, r *T)
}

func newKind[K comparable, T any, P record[T]](noun, keyColumns string, key func(*T) K) *kind[K, T, P] {
	return &kind[K, T, P]{book: newBook[K, T](noun, keyColumns), key: key, clone: func(r *T) *T { c := *r; return &c }}
}

func (k *kind[K, T, P]) addStored(rows []T) {
	for i := range rows {
		k.book.addStored(k.key(&rows[i]), P(&rows[i]).Identity(), &rows[i])
	}
}

func identity[T any, P record[T]](r *T) crop.ID { return P(r).Identity() }

// take reads one row: what it says, which stored record it is of, whether it keeps the rules, and what it changes.
func (k *kind[K, T, P]) take(c *cell, t *table[T], h *header, cells []string) {
	given := idCell(c, h, cells)
	r := new(T)
	t.fill(c, h, cells, r)
	if c.faults > 0 {
		checkRest(c, P(r))
		if k.broken != nil {
			k.broken(c, r)
		}
		return
	}
	stored, column, problem := k.match(c.im, k.key(r), given, c.at, identity[T, P])
	if problem != "" {
		c.faultAt(column, "%s", problem)
		return
	}
	switch {
	case stored != nil:
		given = P(stored).Identity()
		r = k.clone(stored)
		t.fill(c, h, cells, r)
	case given.IsZero():
		given = c.im.store.NewID()
	}
	P(r).SetIdentity(given)
	if k.register != nil {
		k.register(r)
	}
	if c.plant != nil && c.plant.faulty || !c.im.check(P(r), c.at) {
		return
	}
	settle(c.im, t, h, c.at, r, stored, func() { c.im.addChange(P(r), c.at) })
}

func idCell(c *cell, h *header, cells []string) crop.ID {
	if h.id < 0 {
		return crop.ID{}
	}
	c.column, c.text = "id", cells[h.id]
	return c.id()
}

// check says what rules a record breaks.
func (im *importer) check(r crop.Record, at rowRef) bool {
	faults := crop.Check(r, im.registry, im.now)
	for _, f := range faults {
		where, column := im.locate(r, at, f.Pointer)
		im.fault(where, column, "%s", f.Detail)
	}
	return len(faults) == 0
}

// checkRest says what else is wrong with a row that has cells which can't be read, as far as that can be told without them.
func checkRest(c *cell, r crop.Record) {
	if c.im.again || c.plant != nil && c.plant.faulty {
		return
	}
	if r.Identity().IsZero() {
		r.SetIdentity(c.im.store.NewID())
	}
	for _, f := range crop.Check(r, c.im.registry, c.im.now) {
		column := columnOf(r.RecordKind(), f.Pointer)
		if !c.spoilt(f.Pointer, column) {
			c.im.fault(c.at, column, "%s", f.Detail)
		}
	}
}

// spoilt tells whether what is said of a field rests on a cell that couldn't be read.
func (c *cell) spoilt(pointer, column string) bool {
	needed := []string{column}
	switch pointer {
	case "/counts", "/total":
		if c.badStage {
			return true
		}
	case "/plant_id":
		needed = []string{"plant", "season", "place", "cultivar"}
	case "/season_id", "/place_id", "/cultivar_id":
		needed = append(needed, "plant")
	case "/sown_on":
		needed = append(needed, "transplanted_on")
	case "/fruits":
		needed = append(needed, "mass_g")
	}
	return slices.ContainsFunc(needed, func(name string) bool { return slices.Contains(c.bad, name) })
}

// settle counts a row as new, stored already, or replacing, and calls change if the record is to be stored.
func settle[T any](im *importer, t *table[T], h *header, at rowRef, r, stored *T, change func()) {
	tally := im.tallies[at.source]
	if stored == nil {
		tally.Created++
		change()
		return
	}
	columns, differences := t.compare(im.registry, h, stored, r)
	switch {
	case len(columns) == 0:
		tally.Unchanged++
	case im.opts.Replace:
		im.replaces(at, differences)
		change()
	default:
		im.fault(at, strings.Join(columns, ", "), "%s", refusal(t.noun, differences))
	}
}

// replaces counts a row that takes a stored record's place, and notes how it differs if it is only tried.
func (im *importer) replaces(at rowRef, differences string) {
	im.tallies[at.source].Replaced++
	if !im.opts.DryRun {
		return
	}
	if len(im.summary.Replacements) == maxReplacements {
		im.summary.MoreReplacements++
		return
	}
	im.summary.Replacements = append(im.summary.Replacements, Replacement{im.sources[at.source].Name, int(at.line), differences})
}

func refusal(noun, differences string) string {
	return fmt.Sprintf("the stored %s differs (stored → here: %s); mend the row, or import with --replace to let it take the stored one's place", noun, differences)
}

// compare returns the columns of the file in which two records differ, and how.
func (t *table[T]) compare(names *registry, h *header, stored, r *T) (columns []string, differences string) {
	var parts []string
	for i := range t.columns {
		if h.at[i] < 0 {
			continue
		}
		col := &t.columns[i]
		was, is := col.write(names, stored), col.write(names, r)
		if was != is {
			columns = append(columns, col.name)
			parts = append(parts, fmt.Sprintf("%s %s → %s", col.name, shown(was), shown(is)))
		}
	}
	return columns, strings.Join(parts, ", ")
}

// locate says where the field of a record is written whose row is at.
func (im *importer) locate(r crop.Record, at rowRef, pointer string) (where rowRef, column string) {
	if where, column, ok := im.kinds.partOf(r, pointer); ok {
		return where, column
	}
	return at, columnOf(r.RecordKind(), pointer)
}

// columnOf returns the column of a record's field, given by its JSON pointer.
func columnOf(kind crop.Kind, pointer string) string {
	switch pointer {
	case "/name":
		return strings.TrimSuffix(string(kind), "s")
	case "/label", "/plant_id":
		return "plant"
	case "/season_id":
		return "season"
	case "/place_id":
		return "place"
	case "/cultivar_id":
		return "cultivar"
	case "/scale_id":
		return "scale"
	case "/origin_id":
		return "origin"
	case "/ripe_stage":
		return "ripe"
	case "/stages":
		return "stage"
	case "/counts":
		return ""
	}
	last := pointer[strings.LastIndexByte(pointer, '/')+1:]
	return strings.ReplaceAll(strings.ReplaceAll(last, "~1", "/"), "~0", "~")
}
