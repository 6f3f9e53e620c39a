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
	applied, err := s.store.Apply(c.Request.Context(), changes, crop.ApplyOptions{Actor: by})
	if err != nil {
		return syncRefusal(err, changes, order)
	}
	outcomes := make([]crop.Outcome, len(items))
	for i, at := range order {
		outcomes[at] = applied[i]
	}
	return respond(c, http.StatusOK, s.newSyncAnswer(c, outcomes))
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

func (s *server) newSyncAnswer(c *gin.Context, outcomes []crop.Outcome) syncAnswer {
	answer := syncAnswer{Items: make([]syncOutcome, len(outcomes))}
	plants := map[crop.ID]bool{}
	for i, out := range outcomes {
		answer.Items[i] = syncOutcome{Kind: out.Record.RecordKind(), ID: out.Record.Identity(), Version: out.Version,
			Effect: out.Effect, Deleted: out.Deleted, Warnings: supersededWarning(out)}
		if plant, ok := countedPlant(out.Record); ok && !out.Deleted {
			plants[plant] = true
		}
	}
	if len(plants) > mostPlantsChecked {
		answer.Warnings = []string{fmt.Sprintf("These records are of %d plants; contradictions are looked for in up to %d at a time. "+
			"Read the ledgers of the plants for them.", len(plants), mostPlantsChecked)}
		return answer
	}
	for i, more := range s.contradictions(c.Request.Context(), outcomes) {
		answer.Items[i].Warnings = append(answer.Items[i].Warnings, more...)
	}
	return answer
}

func (s *server) readSync(c *gin.Context) ([]crop.Change, error) {
	var (
		items  []crop.Change
		faults itemFaults
		body   = s.bulkBody(c)
	)
	err := eachItem(jsontext.NewDecoder(body), false, func(i int, list string, v jsontext.Value) bool {
		if i >= mostItems {
			faults.at(list, "has more than %d records; send them in several requests", mostItems)
			return false
		}
		change, wrong := decodeItem(v)
		for _, f := range wrong {
			faults.at(fmt.Sprintf("%s/%d%s", list, i, f.Pointer), "%s", f.Detail)
		}
		if len(faults.list) == 0 {
			items = append(items, change)
		}
		return !faults.full()
	})
	if p, ok := errors.AsType[*problem](err); ok {
		return nil, p
	}
	if err != nil {
		return nil, body.refuse(err, s.limits.Bulk)
	}
	return items, faults.problem(invalidRecord)
}

// decodeItem reads one item of a sync. The pointers of its faults are from the item.
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
		faults []crop.Fault
	)
	for _, m := range members {
		switch m.name {
		case "kind":
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
	case len(faults) > 0:
		return crop.Change{}, faults
	case item.kind == nil || crop.New(*item.kind) == nil:
		return crop.Change{}, []crop.Fault{{Pointer: "/kind", Detail: "must be one of " + kindNames()}}
	case item.remove != nil && *item.remove:
		return item.deletion()
	}
	return item.change()
}

type itemParts struct {
	kind   *crop.Kind
	id     *crop.ID
	base   *int64
	remove *bool
	record jsontext.Value
}

func (p *itemParts) change() (crop.Change, []crop.Fault) {
	if p.record.Kind() != '{' {
		return crop.Change{}, []crop.Fault{{Pointer: "/record", Detail: "is missing or not an object; give the record with its fields"}}
	}
	members, err := splitObject(p.record)
	if err != nil {
		return crop.Change{}, []crop.Fault{{Pointer: "/record", Detail: problemOf(err).Detail}}
	}
	in, faults := decodeMembers(*p.kind, members)
	if len(faults) > 0 {
		for i := range faults {
			faults[i].Pointer = "/record" + faults[i].Pointer
		}
		return crop.Change{}, faults
	}
	base := cmp.Or(p.base, in.base)
	if in.base != nil && *in.base != *base {
		return crop.Change{}, []crop.Fault{{Pointer: "/base_version", Detail: "differs from the record's base_version; give one of them"}}
	}
	if faults := p.identify(in.record); faults != nil {
		return crop.Change{}, faults
	}
	return crop.Change{Record: in.record, Base: base}, nil
}

// identify settles the id. The client must have made it: a record without one would be stored again each time it is sent.
func (p *itemParts) identify(r crop.Record) []crop.Fault {
	switch {
	case p.id == nil && r.Identity().IsZero():
		return []crop.Fault{{Pointer: "/record/id", Detail: "is missing; make a UUID for the record, so that it can be sent again safely"}}
	case p.id == nil:
	case r.Identity().IsZero():
		r.SetIdentity(*p.id)
	case r.Identity() != *p.id:
		return []crop.Fault{{Pointer: "/id", Detail: "differs from the record's id; give one of them"}}
	}
	return nil
}

func (p *itemParts) deletion() (crop.Change, []crop.Fault) {
	record := crop.New(*p.kind)
	if p.record.Kind() == '{' {
		members, err := splitObject(p.record)
		if err != nil {
			return crop.Change{}, []crop.Fault{{Pointer: "/record", Detail: problemOf(err).Detail}}
		}
		for _, m := range members {
			var id *crop.ID
			if m.name == "id" && len(readAside(m, &id)) == 0 && id != nil {
				record.SetIdentity(*id)
			}
		}
	}
	if faults := p.identify(record); faults != nil {
		return crop.Change{}, faults
	}
	if p.base == nil || *p.base == 0 {
		return crop.Change{}, []crop.Fault{{Pointer: "/base_version", Detail: "is missing; a deletion names the version it was made from, so that sending it again can't delete what was recorded later"}}
	}
	return crop.Change{Record: record, Delete: true, Base: p.base}, nil
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
