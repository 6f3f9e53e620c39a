package api

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"net/url"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

const generatorSeed = 26

// TestGeneratedRequests sends thousands of requests, most of them made wrong on purpose, over every route. None may end
// in a failure of the server; every refusal is a problem (client.do checks that); what is taken must come back as it
// went in. The seed is fixed, so that a failure repeats.
func TestGeneratedRequests(t *testing.T) {
	c := testClient(t)
	g := &generator{Rand: rand.New(rand.NewPCG(20, generatorSeed)), lab: newTrial(c), reads: readingPaths()}
	served := map[string]bool{}
	requests := 8000
	if testing.Short() {
		requests = 1000
	}
	statuses := map[int]int{}
	for range requests {
		g.last = ""
		method, target, body, headers := g.request()
		r := c.do(method, target, body, headers...)
		statuses[r.status]++
		if method == "GET" && r.status == 200 {
			served[g.last] = true
		}
		if r.status >= 500 {
			t.Fatalf("%s %s %q %q: status %d %s", method, target, body, headers, r.status, r.body)
		}
		if r.status != 200 && r.status != 201 || method == "GET" || method == "HEAD" {
			continue
		}
		made := r.object(t)
		if made["deleted"] != nil || made["id"] == nil {
			continue
		}
		if kind := strings.Split(target, "/")[2]; made["id"] != nil {
			at := "/v1/" + strings.SplitN(kind, "?", 2)[0] + "/" + made["id"].(string)
			read := c.do("GET", at, "")
			if read.status != 200 {
				continue // an old body of a record that has been deleted since
			}
			again := c.want(200, "PUT", at, read.body).object(t)
			if again["version"] != read.object(t)["version"] {
				t.Fatalf("%s sent back unchanged became version %v: %s", at, again["version"], read.body)
			}
		}
	}
	t.Logf("answers by status: %v", statuses)
	for _, path := range g.reads {
		// What isn't about the lab's own season or plant has few records to be found by chance.
		about := strings.Contains(path, "seasons/{id}") || strings.Contains(path, "plants/{id}") || !strings.Contains(path, "{id}")
		if about && !served[path] && !testing.Short() {
			t.Errorf("no request to %s was answered 200", path)
		}
	}
	for _, status := range []int{200, 201, 400, 404, 405, 409, 415, 422} {
		if statuses[status] == 0 {
			t.Errorf("no request was answered %d, so the requests aren't varied enough: %v", status, statuses)
		}
	}
}

type generator struct {
	*rand.Rand
	lab   trial
	reads []string // the path of every route that reads
	last  string   // which of them the last request was made from, if any
}

// read is a request's path from the table of routes; half of the time with what leads to something.
func (g *generator) read(id string) string {
	g.last = pick(g, g.reads)
	if g.IntN(2) == 0 {
		switch {
		case strings.Contains(g.last, "seasons/{id}"):
			id = g.lab.season
		case strings.Contains(g.last, "{problem}"):
			id = pick(g, problemKinds()).path
		case strings.Contains(g.last, "{recipe}"):
			id = "record-visit.sh"
		case strings.Contains(g.last, "{name}"):
			id = docsStyleName()
		case strings.Contains(g.last, "{id}"):
			id = g.lab.plant
		}
	}
	return strings.NewReplacer("{id}", id, "{problem}", id, "{recipe}", id, "{name}", id).Replace(g.last)
}

// readingPaths are the paths of the served routes that read, from their table.
func readingPaths() (paths []string) {
	for _, r := range (&server{}).routes() {
		if r.method == "GET" {
			paths = append(paths, r.path)
		}
	}
	return paths
}

func pick[T any](g *generator, from []T) T { return from[g.IntN(len(from))] }

func (g *generator) request() (method, target, body string, headers []string) {
	s := pick(g, samples())
	body = g.lab.fill(pick(g, []string{s.body, s.replaced}))
	switch g.IntN(4) {
	case 0: // as it is
	case 1:
		body = g.mutateBytes(body)
	default:
		body = g.mutateValue(body)
	}
	if g.IntN(20) == 0 {
		headers = append(headers, "Content-Type", pick(g, []string{"", "text/csv", "application/json; charset=utf-16", "a/b/c"}))
	}
	if g.IntN(10) == 0 {
		headers = append(headers, pick(g, []string{"If-Match", "If-None-Match"}), pick(g, []string{"*", `"1"`, `"2"`, `"0"`, `""`, "W/", `"1","2"`, "\x7f"}))
	}
	id := pick(g, []string{g.lab.plant, g.lab.season, g.lab.place, g.lab.cultivar, g.lab.scale, crop.DefaultScaleID.String(), g.id(), g.id(), g.id(), "A1", "%00", "..", ""})
	path := "/v1/" + string(s.kind)
	if g.IntN(5) == 0 {
		return g.manyRecords(body, s.kind, headers)
	}
	method = pick(g, []string{"GET", "POST", "POST", "POST", "PUT", "PUT", "PUT", "DELETE", "PATCH", "HEAD"})
	switch {
	case method == "POST" && g.IntN(4) == 0:
		path += "/" + id + "/restore"
		body = pick(g, []string{`{"version": 1}`, `{"version": 2}`, `{"version": 1, "base_version": 1}`, `{"version": 99}`, g.mutateValue(`{"version": 1}`), body})
	case method == "POST" && g.IntN(8) > 0:
	case g.IntN(4) == 0:
		path = g.read(id)
		if g.IntN(4) > 0 {
			method = "GET"
		}
	default:
		path += "/" + id
	}
	// The plant is kept, or soon no request could succeed; what it refers to can't go while it is there.
	if method == "DELETE" && strings.Contains(path, g.lab.plant) {
		method = "GET"
	}
	return method, path + g.query(), body, headers
}

// manyRecords is a request to one of the routes that take many records at once.
func (g *generator) manyRecords(record string, kind crop.Kind, headers []string) (method, target, body string, sentHeaders []string) {
	method = pick(g, []string{"POST", "POST", "POST", "POST", "POST", "GET", "PUT"})
	if g.IntN(2) == 0 {
		var items []string
		for range g.IntN(4) {
			item := fmt.Sprintf(`{"kind": %q, "id": %q, "record": %s}`, kind, g.id(), record)
			if g.IntN(3) == 0 {
				item = fmt.Sprintf(`{"kind": %q, "id": %q, "base_version": %d, "delete": true}`, kind, g.id(), g.IntN(3))
			}
			items = append(items, pick(g, []string{item, item, g.mutateValue(item), g.mutateBytes(item)}))
		}
		return method, "/v1/sync" + g.query(), syncBody(items...), headers
	}
	reading := g.lab.fill(pick(g, []string{`{"place_id": "PLACE", "measured_at": "2026-02-03T08:00:00Z", "air_c": 20}`, `{"place": "balcony", "measured_at": "2026-02-03T08:00:00Z", "air_c": 21}`}))
	body = pick(g, []string{"[" + reading + "]", `{"items": [` + reading + "]}", "[" + g.mutateValue(reading) + "," + reading + "]", g.mutateBytes("[" + reading + "]")})
	query := pick(g, []string{"", "", "?replace=true", "?replace=1", g.query()})
	if g.IntN(2) == 0 {
		file := "place,measured_at,air_c\nbalcony,2026-02-03T08:10:00Z,20\n"
		body = pick(g, []string{file, file, g.mutateBytes(file), strings.Replace(file, "20\n", "21\n", 1), strings.Replace(file, ",", ";", 1), body})
		headers = append(headers, "Content-Type", "text/csv")
	}
	return method, "/v1/temperatures/bulk" + query, body, headers
}

// id is one of a few, so that requests meet the records of earlier ones.
func (g *generator) id() string {
	return "0198b2c4-0000-7000-8000-00000000000" + string("0123456789abcdef"[g.IntN(16)])
}

func (g *generator) query() string {
	if g.IntN(6) > 0 {
		return ""
	}
	name := pick(g, []string{"limit", "cursor", "plant_id", "season_id", "place_id", "cultivar_id", "from", "to", "as_of", "hold_days", "from_day", "to_day", "clock", "method", "days", "air_c", "weekdays", "tolerated", "season", "x", ""})
	value := pick(g, []string{"1", "0", "0.3", "21", "500", "-1", "mon,thu", "1e3", "NaN", g.lab.plant, g.lab.season, "2026-02-03", "2026-02-03T08:00:00Z", "0000-01-01T00:00:00+14:00",
		"9999-12-31T23:59:59-14:00", "\x00", "\xff", "' OR 1=1 --", strings.Repeat("a", 3000), ""})
	if g.IntN(5) == 0 {
		return "?" + name + "=" + value + "%"
	}
	return "?" + url.QueryEscape(name) + "=" + url.QueryEscape(value)
}

func (g *generator) mutateBytes(s string) string {
	b := []byte(s)
	for range 1 + g.IntN(3) {
		at := g.IntN(len(b) + 1)
		part := pick(g, []string{"\x00", "\xff", "{", "}", "[", "]", ",", ":", `"`, `\u0000`, `\ud800`, "null", "1e999", "-", "/**/", "\ufeff", " "})
		end := min(len(b), at+g.IntN(4))
		b = append(b[:at:at], append([]byte(part), b[end:]...)...)
	}
	return string(b)
}

// mutateValue puts something odd in the place of one value, or adds a name, somewhere in the object.
func (g *generator) mutateValue(s string) string {
	var root map[string]any
	if json.Unmarshal([]byte(s), &root) != nil {
		return s
	}
	odd := pick(g, []any{nil, true, -1, 0, 1.5, 1e300, json.Number("-0"), 100001, 1 << 60, "", "12", "\u0000", strings.Repeat("é", 4001), "9999-12-31", "1900-01-01",
		"1900-01-01T00:00:00+14:00", "0001-01-01T00:00:00Z", "2026-02-03T08:00:00-23:59", "2026-02-03", "../../etc/localtime", "Local", "red", g.lab.plant, g.id(),
		[]any{}, []any{nil}, []any{map[string]any{}}, map[string]any{}, map[string]any{"red": 1}, map[string]any{"a/~": nil}})
	names := sortedKeysOf(root)
	name := pick(g, append(names, "id", "base_version", "time_known", "version", "note", "total", "truss", "about", "before_count", "season_id", "unknown"))
	if nested, ok := root[name].(map[string]any); ok && g.IntN(2) == 0 {
		nested[pick(g, []string{"green", "red", "purple", "", "\u2028"})] = odd
	} else if g.IntN(6) == 0 {
		delete(root, name)
	} else {
		root[name] = odd
	}
	out, _ := json.Marshal(root)
	return string(out)
}

func sortedKeysOf(m map[string]any) []string {
	v := url.Values{}
	for k := range m {
		v[k] = nil
	}
	return sortedNames(v)
}
