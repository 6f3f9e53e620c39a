package api

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"
	"github.com/go-json-experiment/json/jsontext"

	"vinetally/analytics/crop"
)

// mostItems is how many records one sync may have.
const mostItems = 100_000

// sync applies a list of changes of any kinds, all or none. It may be sent again, in whole or in part, in any order: what
// was stored before changes nothing.
func (s *server) sync(c *gin.Context) error {
	if err := parseQuery(c).err(); err != nil {
		return err
	}
	if _, err := mediaOf(c.Request, mediaJSON); err != nil {
		return err
	}
	by, err := actorOf(c)
	if err != nil {
		return err
	}
	items, err := s.readSync(c)
	if err != nil {
		return err
	}
	order := inOrderOfBase(items)
	changes := make([]crop.Change, len(items))
	for i, at := range order {
		changes[i] = items[at]
	}
	w := s.witness(c.Request.Context())
	applied, err := s.store.Apply(c.Request.Context(), changes, crop.ApplyOptions{Actor: by, Witness: w})
	if err != nil {
		return syncRefusal(err, changes, order)
	}
	return respond(c, http.StatusOK, newSyncAnswer(applied, order, w))
}

type syncAnswer struct {
	Items    []syncOutcome `json:"items"`
	Warnings []string      `json:"warnings"`
}

type syncOutcome struct {
	Kind     crop.Kind   `json:"kind"`
	ID       crop.ID     `json:"id"`
	Version  int64       `json:"version"`
	Effect   crop.Effect `json:"effect"`
	Deleted  bool        `json:"deleted"`
	Warnings []string    `json:"warnings"`
}

// newSyncAnswer answers the items in the order in which they came, of which order tells for each outcome.
func newSyncAnswer(applied []crop.Outcome, order []int, w *witness) syncAnswer {
	answer := syncAnswer{Items: make([]syncOutcome, len(applied))}
	for i, out := range applied {
		answer.Items[order[i]] = syncOutcome{Kind: out.Record.RecordKind(), ID: out.Record.Identity(), Version: out.Version,
			Effect: out.Effect, Deleted: out.Deleted, Warnings: append(supersededWarning(out), w.warningsOf(i)...)}
	}
	if len(w.plants) > mostPlantsChecked {
		answer.Warnings = []string{fmt.Sprintf("These records are of %d plants; contradictions are looked for in up to %d at a time. "+
			"Read the ledgers of the plants for them.", len(w.plants), mostPlantsChecked)}
	}
	return answer
}

func (s *server) readSync(c *gin.Context) ([]crop.Change, error) {
	var (
		all  items
		told int
		body = s.bulkBody(c)
	)
	err := eachItem(jsontext.NewDecoder(body), false, func(i int, _ string, v jsontext.Value) bool {
		if i >= mostItems {
			all.tooMany = true
			return false
		}
		change, wrong := decodeItem(v)
		all.add(change, wrong)
		told += len(wrong)
		all.cut = told >= mostFaults
		return !all.cut
	})
	if p, ok := errors.AsType[*problem](err); ok {
		return nil, p
	}
	if err != nil {
		return nil, body.refuse(err, s.limits.Bulk)
	}
	if len(all.form) > 0 && !all.cut && !all.tooMany {
		all.addRules(c.Request.Context(), s)
	}
	return all.changes, all.refusal()
}

// decodeItem reads one item of a sync. The pointers of its faults are from the item. With faults, the change has what could be
// read of the record, if anything.
func decodeItem(v jsontext.Value) (crop.Change, []crop.Fault) {
	if v.Kind() != '{' {
		return crop.Change{}, []crop.Fault{{Detail: "is " + kindName(v.Kind()) + "; it must be an object with kind and record"}}
	}
	members, err := splitObject(v)
	if err != nil { // can't be: the value was read as JSON
		return crop.Change{}, []crop.Fault{{Detail: problemOf(err).Detail}}
	}
	var (
		item   itemParts
		kind   member
		faults []crop.Fault
	)
	for _, m := range members {
		switch m.name {
		case "kind":
			kind = m
			faults = append(faults, readAside(m, &item.kind)...)
		case "id":
			faults = append(faults, readAside(m, &item.id)...)
		case "base_version":
			faults = append(faults, readAside(m, &item.base)...)
		case "delete":
			faults = append(faults, readAside(m, &item.remove)...)
		case "record":
			item.record = m.value
		default:
			faults = append(faults, crop.Fault{Pointer: pointerTo(m.name), Detail: "is not a field here; its fields are kind, id, record, base_version, delete"})
		}
	}
	faults = append(faults, checkBase(item.base)...)
	switch {
	case item.kind == nil && kind.value == nil:
		return crop.Change{}, append(faults, crop.Fault{Pointer: "/kind", Detail: "is missing; write one of " + kindNames()})
	case item.kind == nil:
		return crop.Change{}, faults
	case crop.New(*item.kind) == nil:
		return crop.Change{}, append(faults, crop.Fault{Pointer: "/kind", Detail: "is " + shown(kind.value) + ", which is no kind of record; write one of " + kindNames()})
	case item.remove != nil && *item.remove:
		return item.deletion(faults)
	}
	return item.change(faults)
}

type itemParts struct {
	kind   *crop.Kind
	id     *crop.ID
	base   *int64
	remove *bool
	record jsontext.Value
}

func (p *itemParts) change(faults []crop.Fault) (crop.Change, []crop.Fault) {
	if p.record.Kind() != '{' {
		detail := "is missing; give the record with its fields"
		if p.record != nil {
			detail = "is " + shown(p.record) + "; it must be an object, the record with its fields"
		}
		return crop.Change{}, append(faults, crop.Fault{Pointer: "/record", Detail: detail})
	}
	members, err := splitObject(p.record)
	if err != nil { // can't be: the value was read as JSON
		return crop.Change{}, append(faults, crop.Fault{Pointer: "/record", Detail: problemOf(err).Detail})
	}
	in, wrong := decodeMembers(*p.kind, members)
	for _, f := range wrong {
		f.Pointer = "/record" + f.Pointer
		faults = append(faults, f)
	}
	base := cmp.Or(p.base, in.base)
	if in.base != nil && *in.base != *base {
		faults = append(faults, crop.Fault{Pointer: "/base_version", Detail: fmt.Sprintf("is %d, but the record's base_version is %d; give one of them", *base, *in.base)})
	}
	faults = append(faults, p.identify(in.record, faults)...)
	return crop.Change{Record: in.record, Base: base}, faults
}

// identify settles the id. The client must have made it: a record without one would be stored again each time it is sent.
// An id that couldn't be read is among the faults already.
func (p *itemParts) identify(r crop.Record, faults []crop.Fault) []crop.Fault {
	unread := slices.ContainsFunc(faults, func(f crop.Fault) bool { return f.Pointer == "/id" || f.Pointer == "/record/id" })
	switch {
	case unread:
		return nil
	case p.id == nil && r.Identity().IsZero():
		return []crop.Fault{{Pointer: "/record/id", Detail: "is missing; make a UUID for the record, so that it can be sent again safely"}}
	case p.id == nil:
	case r.Identity().IsZero():
		r.SetIdentity(*p.id)
	case r.Identity() != *p.id:
		return []crop.Fault{{Pointer: "/id", Detail: fmt.Sprintf("is %s, but the record's id is %s; give one of them", p.id, r.Identity())}}
	}
	return nil
}

func (p *itemParts) deletion(faults []crop.Fault) (crop.Change, []crop.Fault) {
	record := crop.New(*p.kind)
	if p.record.Kind() == '{' {
		members, err := splitObject(p.record)
		if err != nil { // can't be: the value was read as JSON
			return crop.Change{}, append(faults, crop.Fault{Pointer: "/record", Detail: problemOf(err).Detail})
		}
		for _, m := range members {
			var id *crop.ID
			if m.name == "id" && len(readAside(m, &id)) == 0 && id != nil {
				record.SetIdentity(*id)
			}
		}
	}
	faults = append(faults, p.identify(record, faults)...)
	unread := slices.ContainsFunc(faults, func(f crop.Fault) bool { return f.Pointer == "/base_version" })
	if !unread && (p.base == nil || *p.base == 0) {
		faults = append(faults, crop.Fault{Pointer: "/base_version", Detail: "is missing; a deletion names the version it was made from, so that sending it again can't delete what was recorded later"})
	}
	return crop.Change{Record: record, Delete: true, Base: p.base}, faults
}

func kindNames() string {
	names := make([]string, 0, len(crop.Kinds()))
	for _, k := range crop.Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

// inOrderOfBase returns the positions of the items in the order to apply them: as sent, but the changes of one record in the
// order of the versions that they were made from, if all of them say so.
func inOrderOfBase(items []crop.Change) []int {
	order := make([]int, len(items))
	at := make(map[crop.ID][]int, len(items))
	for i, c := range items {
		order[i] = i
		at[c.Record.Identity()] = append(at[c.Record.Identity()], i)
	}
	for _, places := range at {
		if len(places) < 2 || slices.ContainsFunc(places, func(i int) bool {
			return items[i].Base == nil || items[i].Record.RecordKind() != items[places[0]].Record.RecordKind()
		}) {
			continue
		}
		sorted := slices.SortedStableFunc(slices.Values(places), func(a, b int) int { return cmp.Compare(*items[a].Base, *items[b].Base) })
		for k, place := range places {
			order[place] = sorted[k]
		}
	}
	return order
}

// syncRefusal points the store's faults at the items of the request.
func syncRefusal(err error, changes []crop.Change, order []int) error {
	e, ok := errors.AsType[*crop.Error](err)
	if !ok || len(e.Faults) == 0 {
		return err
	}
	var faults itemFaults
	for _, f := range e.Faults {
		if f.Item < 0 || f.Item >= len(order) {
			return err
		}
		at := "/record" + f.Pointer
		if f.Pointer == "/base_version" || f.Pointer == "" || changes[f.Item].Delete {
			at = f.Pointer
		}
		faults.at(fmt.Sprintf("/items/%d%s", order[f.Item], at), "%s", f.Detail)
	}
	return faults.problem(codes[e.Code])
}
