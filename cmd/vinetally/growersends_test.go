package main

import (
	"bytes"
	"encoding/json"
	"io"
	"net/http"
	"time"
)

// work writes until the server is gone or stop is closed. What is sent when the server goes stays open.
func (g *grower) work(base string, m mix, stop <-chan struct{}) {
	for {
		select {
		case <-stop:
			return
		default:
		}
		r := m.next(g)
		g.open = r
		answer, ok := g.send(base, r)
		if !ok {
			return
		}
		g.keep(r, answer)
	}
}

// send sends a request, again while the answer is that the store is busy. It is false if no whole answer came.
func (g *grower) send(base string, r *request) (answer body, ok bool) {
	for {
		g.begun.Add(1)
		start := time.Now()
		status, header, text, err := g.do(g.httpRequest(base, r))
		g.longest = max(g.longest, time.Since(start))
		switch {
		case err != nil:
			return nil, false
		case status == http.StatusServiceUnavailable && header.Get("Retry-After") != "":
			g.busy++
			time.Sleep(100 * time.Millisecond)
			continue
		case status == http.StatusNoContent:
			return nil, true
		case status != http.StatusOK && status != http.StatusCreated:
			g.t.Errorf("%s: %s %s %.300s: %d %s", g.name, r.method, r.path, r.text, status, text)
			return nil, false
		}
		if err := json.Unmarshal(text, &answer); err != nil {
			g.t.Errorf("%s: %s %s answers %q: %v", g.name, r.method, r.path, text, err)
			return nil, false
		}
		return answer, true
	}
}

func (g *grower) httpRequest(base string, r *request) *http.Request {
	req, err := http.NewRequest(r.method, base+r.path, bytes.NewReader(r.text))
	if err != nil { // a method and an address of ours are right
		panic(err)
	}
	req.GetBody = nil // the client must not send it again by itself
	req.Header.Set("Content-Type", "application/json")
	if r.match != "" {
		req.Header.Set("If-Match", r.match)
	}
	return req
}

func (g *grower) do(req *http.Request) (status int, header http.Header, text []byte, err error) {
	resp, err := g.client.Do(req)
	if err != nil {
		return 0, nil, nil, err
	}
	defer resp.Body.Close()
	text, err = io.ReadAll(resp.Body)
	return resp.StatusCode, resp.Header, text, err
}

// keepText is keep of an answer as it came.
func (g *grower) keepText(r *request, text []byte) {
	g.t.Helper()
	var answer body
	if len(text) > 0 {
		if err := json.Unmarshal(text, &answer); err != nil {
			g.t.Fatalf("%s: %s %s answers %q: %v", g.name, r.method, r.path, text, err)
		}
	}
	g.keep(r, answer)
}

// keep remembers what an answer said is kept.
func (g *grower) keep(r *request, answer body) {
	g.open = nil
	g.acked++
	for _, s := range r.steps {
		to := s.to
		if len(r.steps) == 1 && to != nil { // the answer is the record
			g.wantHeld(r.path, answer, to)
			delete(answer, "warnings")
			to = answer
		}
		g.took(s.record, to)
	}
}

func (g *grower) took(r *told, to body) {
	if len(r.versions) == 0 {
		g.records[r.kind+"/"+r.id] = r
		g.order = append(g.order, r)
	}
	r.versions = append(r.versions, to)
	g.mu.Lock()
	g.ids = append(g.ids, r.id)
	g.mu.Unlock()
}
