package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/url"
	"reflect"
)

// bookKinds are the kinds that growers write.
var bookKinds = []string{"plants", "counts", "pickings", "losses", "diary"}

// readAll reads every record of the growers' kinds.
func (g *grower) readAll(base string) map[string]body {
	g.t.Helper()
	all := map[string]body{}
	for _, kind := range bookKinds {
		next := ""
		for {
			var page struct {
				Items []body
				Next  *string
			}
			g.get(base+"/v1/"+kind+"?limit=500"+next, &page)
			for _, item := range page.Items {
				all[kind+"/"+item["id"].(string)] = item
			}
			if page.Next == nil {
				break
			}
			next = "&cursor=" + url.QueryEscape(*page.Next)
		}
	}
	return all
}

func (g *grower) get(address string, into any) {
	g.t.Helper()
	req, err := http.NewRequest("GET", address, nil)
	if err != nil {
		g.t.Fatal(err)
	}
	status, _, text, err := g.do(req)
	if err == nil && status != http.StatusOK {
		err = fmt.Errorf("%d %s", status, text)
	}
	if err == nil {
		err = json.Unmarshal(text, into)
	}
	if err != nil {
		g.t.Fatalf("%s: GET %s: %v", g.name, address, err)
	}
}

// holds tells whether a stored record has every field as it was sent or answered.
func holds(stored, sent body) bool {
	for name, value := range sent {
		if !reflect.DeepEqual(stored[name], value) {
			return false
		}
	}
	return true
}

func (g *grower) wantHeld(what string, stored, sent body) {
	g.t.Helper()
	if !holds(stored, sent) {
		g.t.Errorf("%s: %s is %s, want %s", g.name, what, encoded(stored), encoded(sent))
	}
}

// settle compares what is stored with what the grower was told, after a server was killed and another started. An open
// request must have been carried out as a whole or not at all; carried tells which. It is sent again, and must go well.
func (g *grower) settle(base string, stored map[string]body) (wasOpen, carried bool) {
	g.t.Helper()
	if r := g.open; r != nil {
		wasOpen = true
		done := 0
		for _, s := range r.steps {
			if g.isDone(s, stored[s.record.kind+"/"+s.record.id]) {
				done++
			}
		}
		carried = done == len(r.steps)
		switch done {
		case len(r.steps):
			for _, s := range r.steps {
				to := s.to
				if to != nil {
					to = stored[s.record.kind+"/"+s.record.id]
				}
				g.took(s.record, to)
			}
		case 0:
		default:
			g.t.Errorf("%s: %s %s was broken off with %d of its %d changes stored", g.name, r.method, r.path, done, len(r.steps))
		}
	}
	for key, r := range g.records {
		current := r.current()
		switch is := stored[key]; {
		case current == nil && is != nil:
			g.t.Errorf("%s: %s was deleted and is there: %s", g.name, key, encoded(is))
		case current != nil && is == nil:
			g.t.Errorf("%s: %s is lost, it was %s", g.name, key, encoded(current))
		case current != nil:
			g.wantHeld(key, is, current)
			if version := is["version"]; version != float64(len(r.versions)) {
				g.t.Errorf("%s: %s is at version %v, want %d", g.name, key, version, len(r.versions))
			}
		}
	}
	if r := g.open; r != nil {
		answer, ok := g.send(base, r)
		switch {
		case !ok:
			g.t.Errorf("%s: sent again, %s %s isn't answered well", g.name, r.method, r.path)
		case !carried:
			g.keep(r, answer)
		}
	}
	g.open = nil
	return wasOpen, carried
}

// isDone tells whether a step of a request that got no answer was stored, and demands that it is wholly so or not at all.
func (g *grower) isDone(s step, is body) bool {
	before, n := s.record.current(), len(s.record.versions)
	switch {
	case s.to == nil:
		return is == nil
	case is == nil:
		return false
	case before != nil && is["version"] == float64(n):
		return false
	}
	g.wantHeld(s.record.kind+"/"+s.record.id+", stored without an answer,", is, s.to)
	if is["version"] != float64(n+1) {
		g.t.Errorf("%s: %s/%s is at version %v, want %d", g.name, s.record.kind, s.record.id, is["version"], n+1)
	}
	return true
}

// wantHistories checks that every version of the records that changed since the last time is in their history, in order
// and with its contents.
func (g *grower) wantHistories(base string) {
	g.t.Helper()
	for key, r := range g.records {
		if len(r.versions) == 1 || r.looked == len(r.versions) {
			continue
		}
		r.looked = len(r.versions)
		var page struct{ Items []body }
		g.get(base+"/v1/"+key+"/history", &page)
		if len(page.Items) != len(r.versions) {
			g.t.Errorf("%s: %s has %d versions in its history, want %d", g.name, key, len(page.Items), len(r.versions))
			continue
		}
		for i, is := range page.Items {
			what := fmt.Sprintf("version %d of %s", i+1, key)
			if is["version"] != float64(i+1) {
				g.t.Errorf("%s: %s is numbered %v", g.name, what, is["version"])
			}
			if deleted := is["deleted"] == true; deleted != (r.versions[i] == nil) {
				g.t.Errorf("%s: %s says deleted %v", g.name, what, deleted)
			}
			if r.versions[i] != nil {
				g.wantHeld(what, is, r.versions[i])
			}
		}
	}
}

// wantNoOthers checks that there is no record that none of the growers knows of.
func wantNoOthers(stored map[string]body, growers []*grower) {
	known := map[string]bool{}
	for _, g := range growers {
		for key := range g.records {
			known[key] = true
		}
	}
	for key, is := range stored {
		if !known[key] {
			growers[0].t.Errorf("%s is stored, and nobody sent it: %s", key, encoded(is))
		}
	}
}
