package main

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/http"
	"sync"
	"sync/atomic"
	"testing"
	"time"
)

// body is a record as JSON.
type body = map[string]any

// told is a record as a client was told that it is kept: every version, nil for a deletion.
type told struct {
	kind, id string
	versions []body
	looked   int // how many of the versions were found in the history
}

func (r *told) current() body {
	if len(r.versions) == 0 {
		return nil
	}
	return r.versions[len(r.versions)-1]
}

// step is what a request does to one record.
type step struct {
	record *told
	to     body
}

// request is one write, which may be sent again.
type request struct {
	method, path, match string
	text                []byte
	steps               []step
}

// grower is a client with records of its own that remembers what it was told.
type grower struct {
	t       *testing.T
	name    string
	rng     *rand.Rand
	client  *http.Client
	records map[string]*told // by kind and id
	order   []*told          // as first sent
	open    *request         // sent, and not answered
	n       int

	begun   *atomic.Int64 // requests sent, of all growers of a server
	busy    int           // answers of 503
	longest time.Duration
	acked   int

	mu  sync.Mutex
	ids []string // of the records, if it only adds; others may ask for them
}

// trialBase is what the growers' plants stand in, the same in every database of these tests.
func trialBase() *request {
	r := &request{method: "POST", path: "/v1/sync"}
	var items []any
	for _, item := range []struct {
		kind, id string
		record   body
	}{
		{"seasons", seasonID, body{"name": "Spring (invented)"}},
		{"places", placeID, body{"name": "Sill", "time_zone": "Etc/UTC"}},
		{"cultivars", cultivarID, body{"name": "Pip (invented)"}},
	} {
		item.record["id"] = item.id
		items = append(items, body{"kind": item.kind, "record": item.record})
	}
	r.text = encoded(body{"items": items})
	return r
}

const (
	seasonID   = "5ea50000-0000-4000-8000-000000000001"
	placeID    = "91ace000-0000-4000-8000-000000000001"
	cultivarID = "c0170000-0000-4000-8000-000000000001"
)

func newGrower(t *testing.T, name string, rng *rand.Rand, begun *atomic.Int64) *grower {
	return &grower{t: t, name: name, rng: rng, records: map[string]*told{}, begun: begun,
		client: &http.Client{Transport: &http.Transport{}, Timeout: time.Minute}}
}

// encoded is JSON of what always can be.
func encoded(v any) []byte {
	text, err := json.Marshal(v)
	if err != nil {
		panic(err)
	}
	return text
}

func (g *grower) newID() string {
	a, b := g.rng.Uint64(), g.rng.Uint64()
	return fmt.Sprintf("%08x-%04x-4%03x-8%03x-%012x", a>>32, a>>16&0xffff, a&0xfff, b>>48&0xfff, b&0xffffffffffff)
}
