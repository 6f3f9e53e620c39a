package api

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
)

// TestDocumentedLimits sends values at and beyond each limit that the document tells of a record's numbers and texts, and
// holds what the server says against it.
func TestDocumentedLimits(t *testing.T) {
	c := testClient(t)
	lab := newTrial(c)
	for _, s := range samples() {
		name, _ := recordComponent(s.kind)
		for _, f := range componentNamed(t, name+"Body").fields {
			for _, probe := range probes(f.schema) {
				if f.name == "base_version" || f.name == "stage" || f.name == "ripe_stage" { // must be names of stages, whose length is limited there
					continue
				}
				var body map[string]any
				if err := json.Unmarshal([]byte(lab.fill(s.body)), &body); err != nil {
					t.Fatal(err)
				}
				body[f.name] = probe.value
				sent, err := json.Marshal(body)
				if err != nil {
					t.Fatal(err)
				}
				r := c.do("POST", "/v1/"+string(s.kind), string(sent))
				refused := r.status == 422 && refusedAsBeyond.MatchString(r.body)
				if refused != probe.beyond {
					t.Errorf("%s.%s = %.60v: refused %v, want %v: status %d %.300s", name, f.name, probe.value, refused, probe.beyond, r.status, r.body)
				}
			}
		}
	}
}

// refusedAsBeyond is how a limit is told, whatever other rules a probe breaks.
var refusedAsBeyond = regexp.MustCompile(`it must be|characters; it may have at most|is not a (grade|cause|kind)`)

type probe struct {
	value  any
	beyond bool
}

func probes(s *schema) (all []probe) {
	step := 1.0
	if s.low != nil {
		all = append(all, probe{*s.low, false}, probe{*s.low - step, true})
	}
	if s.high != nil {
		all = append(all, probe{*s.high, false}, probe{*s.high + step, true})
	}
	if s.most != nil && s.items == nil {
		all = append(all, probe{strings.Repeat("é", *s.most), false}, probe{strings.Repeat("é", *s.most+1), true})
	}
	if s.enum != nil {
		for _, v := range s.enum {
			all = append(all, probe{v, false})
		}
		all = append(all, probe{"none of these", true})
	}
	return all
}

func componentNamed(t *testing.T, name string) *schema {
	t.Helper()
	for _, c := range newComponents().components {
		if c.name == name {
			return c.schema
		}
	}
	t.Fatalf("there is no component %s", name)
	return nil
}
