package api

import (
	"regexp"
	"strings"
	"testing"

	"vinetally/analytics/crop"
)

// TestCurlLines sends what each line of curl in the documentation sends, once what its ids name is there. A refusal may
// only say that a record clashes with one that another example has made, or is another version.
func TestCurlLines(t *testing.T) {
	c := testClient(t)
	for _, record := range [][2]string{
		{"/v1/seasons/" + exampleSeason, strings.Replace(bodyExamples[crop.Seasons], "Spring", "Summer", 1)}, {"/v1/places/" + examplePlace, bodyExamples[crop.Places]},
		{"/v1/cultivars/" + exampleCultivar, bodyExamples[crop.Cultivars]}, {"/v1/plants/" + examplePlant, bodyExamples[crop.Plants]},
	} {
		c.want(201, "PUT", record[0], record[1])
	}
	d := (&server{}).describe()()
	done := map[int]int{}
	for i := range d.routes {
		r := &d.routes[i]
		line := d.curl(r)
		method, target, body, headers := readCurl(t, line)
		if method != r.method {
			t.Errorf("%s %s: the line sends %s: %s", r.method, r.path, method, line)
		}
		a := c.do(method, target, body, headers...)
		done[a.status/100]++
		missing := a.status == 404 && strings.Contains(r.path, "{") // exampleID is a record of no kind or of one; assets have other names
		if a.status >= 400 && a.status != 409 && a.status != 412 && !missing {
			t.Errorf("%s\nis answered %d %s", line, a.status, a.body)
		}
	}
	if done[2] < 2*len(crop.Kinds()) {
		t.Errorf("answers by hundreds of status: %v", done)
	}
}

var singleQuoted = regexp.MustCompile(`'((?:[^']|'\\'')*)'`)

// readCurl reads a line of the documentation as a shell and curl would.
func readCurl(t *testing.T, line string) (method, target, body string, headers []string) {
	t.Helper()
	method = "GET"
	flag := ""
	rest := strings.ReplaceAll(strings.TrimPrefix(line, "curl -s"), "\\\n", " ")
	for rest = strings.TrimSpace(rest); rest != ""; rest = strings.TrimSpace(rest) {
		word, after, _ := strings.Cut(rest, " ")
		if rest[0] == '\'' {
			m := singleQuoted.FindStringSubmatch(rest)
			word, after = strings.ReplaceAll(m[1], `'\''`, "'"), rest[len(m[0]):]
		}
		rest = after
		switch {
		case flag == "-X":
			method = word
		case flag == "-H":
			name, value, ok := strings.Cut(word, ": ")
			if !ok {
				t.Fatalf("%q is no header in %s", word, line)
			}
			headers = append(headers, name, value)
		case flag == "-d":
			body = word
			if method == "GET" {
				method = "POST"
			}
		case word[0] == '-':
			flag = word
			continue
		default:
			var ok bool
			if target, ok = strings.CutPrefix(word, "http://127.0.0.1:8780"); !ok {
				t.Fatalf("%q is no address of this server in %s", word, line)
			}
		}
		flag = ""
	}
	return method, target, body, headers
}
