package analytics_test

import (
	"os"
	"slices"
	"strings"
	"testing"
)

// rule is what one package may import, tests aside: which of ours, and which of other modules by the beginning of the path.
// It is narrower than the package's layer, and why says what is lost when it widens.
type rule struct {
	ours, third []string
	why         string
}

// rules is the table of packages in DEVELOPERS.md, which names the same packages.
var rules = map[string]rule{
	"analytics":             {why: "it is the map and does nothing"},
	"analytics/crop":        {third: []string{"golang.org/x/text/unicode/norm"}, why: "everybody speaks its words, so it knows nobody"},
	"analytics/estimate":    {third: []string{"gonum.org/v1/gonum/"}, why: "it knows float64 alone, so it can be held to reference data"},
	"analytics/thermal":     {ours: []string{"analytics/estimate"}, third: []string{"gonum.org/v1/gonum/"}, why: "it turns readings into numbers and knows no plants"},
	"analytics/proportion":  {third: []string{"gonum.org/v1/gonum/"}, why: "it knows counts alone"},
	"analytics/sampling":    {third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone"},
	"analytics/countdist":   {third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone, so it can be held to reference data"},
	"analytics/ripetime":    {third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone, so it can be held to reference data"},
	"analytics/posdef":      {third: []string{"gonum.org/v1/gonum/"}, why: "it knows matrices alone"},
	"analytics/glm":         {ours: []string{"analytics/posdef", "analytics/proportion"}, third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone, so it can be held to reference data"},
	"analytics/ordinal":     {ours: []string{"analytics/glm", "analytics/posdef"}, third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone, so it can be held to reference data"},
	"analytics/survival":    {ours: []string{"analytics/posdef"}, third: []string{"gonum.org/v1/gonum/"}, why: "it knows numbers alone, so it can be held to reference data"},
	"analytics/germination": {ours: []string{"analytics/crop", "analytics/proportion", "analytics/thermal"}, why: "it is arithmetic of counts of seedlings, beside the temperature they came up at"},
	"analytics/isotonic":    {why: "it knows numbers alone"},
	"analytics/stagefrequency": {
		ours: []string{"analytics/ordinal", "analytics/posdef"}, third: []string{"gonum.org/v1/gonum/"},
		why: "it knows numbers alone, so it can be held to reference data",
	},
	"analytics/simulate": {
		ours: []string{"analytics/crop"}, third: []string{"gonum.org/v1/gonum/"}, why: "it is the world that models are judged by, and shares nothing with them",
	},
	"analytics/simulate/scoring":  {ours: []string{"analytics/crop", "analytics/ledger", "analytics/simulate"}, why: "it judges forecasts and makes none"},
	"analytics/ledger":            {ours: []string{"analytics/crop", "analytics/sampling"}, why: "it is arithmetic of records"},
	"analytics/ledger/ledgertest": {ours: []string{"analytics/crop"}, why: "it reads records for the tests of any package above"},
	"analytics/pastripe":          {ours: []string{"analytics/crop", "analytics/ledger"}, why: "what is certain rests on the ledger alone, on no fit"},
	"analytics/yield": {
		ours: []string{"analytics/crop", "analytics/ledger", "analytics/phenology"}, third: []string{"gonum.org/v1/gonum/"},
		why: "it is arithmetic of pickings",
	},
	"analytics/phenology": {ours: []string{"analytics/crop", "analytics/ledger"}, why: "it reads records and fits nothing"},
	"analytics/waste": {
		ours: []string{"analytics/crop", "analytics/ledger", "analytics/pastripe", "analytics/yield"}, third: []string{"gonum.org/v1/gonum/"},
		why: "it is arithmetic of what was lost",
	},
	"analytics/ripening": {
		ours:  []string{"analytics/crop", "analytics/internal/parallel", "analytics/ledger", "analytics/thermal"},
		third: []string{"gonum.org/v1/gonum/"}, why: "it knows what hangs on a plant, and looks ahead no further than to the chances of its fruit",
	},
	"analytics/forecast": {
		ours: []string{"analytics/countdist", "analytics/crop", "analytics/internal/parallel", "analytics/pastripe", "analytics/ripening"}, third: []string{"gonum.org/v1/gonum/"}, why: "it turns chances into numbers and days, and fits nothing",
	},
	"analytics/curve": {
		ours:  []string{"analytics/crop", "analytics/internal/parallel", "analytics/ledger", "analytics/estimate", "analytics/thermal", "analytics/isotonic", "analytics/survival"},
		third: []string{"gonum.org/v1/gonum/"}, why: "it turns ledgers into fits",
	},
	"analytics/report": {
		ours: []string{"analytics/crop", "analytics/ledger", "analytics/pastripe", "analytics/yield", "analytics/curve", "analytics/germination", "analytics/thermal", "analytics/waste", "analytics/ripening", "analytics/forecast", "analytics/countdist"},
		why:  "it brings results together and fits nothing itself",
	},
	"analytics/internal/parallel": {why: "it calls functions and knows nothing of what they do"},
	"analytics/internal/refcheck": {why: "it serves tests of any analytics package"},
	"storage": {
		ours:  []string{"analytics/crop"},
		third: []string{"gorm.io/", "github.com/pressly/goose/", "github.com/mattn/go-sqlite3", "modernc.org/sqlite", "github.com/google/uuid"},
		why:   "it keeps records and computes nothing from them",
	},
	"storage/storagetest": {ours: []string{"analytics/crop", "storage"}, third: []string{"pgregory.net/rapid"}, why: "any store must be able to run it"},
	"api": {
		ours: []string{"analytics/countdist", "analytics/crop", "analytics/curve", "analytics/forecast", "analytics/germination", "analytics/ledger", "analytics/pastripe", "analytics/phenology", "analytics/report",
			"analytics/ripening", "analytics/waste", "analytics/yield", "api/csvfile", "api/memo", "charts"},
		third: []string{"github.com/arran4/golang-ical", "github.com/gin-gonic/gin", "github.com/go-json-experiment/json", "github.com/klauspost/compress/"},
		why:   "it declares the store that it needs and computes nothing",
	},
	"api/memo":    {why: "it keeps any values by any keys"},
	"api/csvfile": {ours: []string{"analytics/crop"}, why: "it declares the store that it needs and computes nothing"},
	"charts": {
		ours: []string{"analytics/crop", "analytics/curve", "analytics/germination", "analytics/ledger", "analytics/phenology", "analytics/report", "analytics/waste",
			"analytics/yield"},
		third: []string{"github.com/go-echarts/go-echarts/"}, why: "it formats finished results",
	},
	"charts/browsertest": {third: []string{"github.com/chromedp/"}, why: "it opens any page and knows none"},
	"cmd/vinetally": {
		ours:  []string{"analytics/crop", "analytics/ledger", "analytics/report", "api", "api/csvfile", "charts", "storage", "testdata"},
		third: []string{"github.com/alecthomas/kong"}, why: "it wires things up",
	},
	"testdata/demoseasons": {
		ours: []string{"analytics/crop", "api/csvfile", "storage", "testdata"}, why: "it loads the demo trial as a user does",
	},
	"testdata":                    {why: "it embeds files"},
	"testdata/opendata":           {why: "it reads files"},
	"testdata/demotrial":          {ours: []string{"analytics/simulate"}, why: "the invented trial owes nothing to the code that is tried on it"},
	"testdata/demotrial/generate": {ours: []string{"testdata/demotrial"}, why: "it writes the trial's files"},
}

// unlisted are packages that the pattern of all packages leaves out, being below a folder named testdata.
var unlisted = []string{"testdata", "testdata/demoseasons", "testdata/opendata", "testdata/demotrial", "testdata/demotrial/generate"}

// strays lists what a package imports beyond its rule, and what the rule allows in vain.
func strays(r *rule, imports []string) []string {
	var found []string
	used := map[string]bool{}
	for _, path := range imports {
		ours, isOurs := strings.CutPrefix(path, module+"/")
		allowed := r.third
		if isOurs {
			allowed = r.ours
		}
		i := slices.IndexFunc(allowed, func(a string) bool {
			return isOurs && a == ours || !isOurs && strings.HasPrefix(path, a)
		})
		switch {
		case i >= 0:
			used[allowed[i]] = true
		case !standard(path):
			found = append(found, "imports "+path+", which its rule doesn't allow: "+r.why)
		}
	}
	for _, a := range slices.Concat(r.ours, r.third) {
		if !used[a] {
			found = append(found, "may import "+a+" and doesn't; take it out of the table")
		}
	}
	return found
}

// TestPackages holds each package to its own rule. A package without a rule fails, and so does a rule without its package.
func TestPackages(t *testing.T) {
	all := load(t)
	seen := map[string]bool{}
	for _, p := range all {
		path := strings.TrimPrefix(p.path, module+"/")
		seen[path] = true
		r, ok := rules[path]
		if !ok {
			t.Errorf("%s has no rule; say here and in DEVELOPERS.md what it is for and what it may import", path)
			continue
		}
		for _, stray := range strays(&r, p.imports) {
			t.Errorf("%s %s", path, stray)
		}
	}
	for path := range rules {
		if !seen[path] {
			t.Errorf("%s has a rule and doesn't exist", path)
		}
	}
}

// TestPackagesAreTold: the table in DEVELOPERS.md names the packages that have a rule, and no others.
func TestPackagesAreTold(t *testing.T) {
	text, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, _ := strings.Cut(string(text), "\n## Packages\n")
	section, _, _ = strings.Cut(section, "\n## ")
	told := map[string]bool{}
	for line := range strings.Lines(section) {
		row, ok := strings.CutPrefix(line, "| `")
		if !ok {
			continue
		}
		cell, _, _ := strings.Cut(row, " |")
		for name := range strings.SplitSeq(cell, ", ") {
			name = strings.Trim(name, "`")
			told[name] = true
			if _, ok := rules[name]; !ok {
				t.Errorf("DEVELOPERS.md tells of %s, which has no rule", name)
			}
		}
	}
	for name := range rules {
		if !told[name] {
			t.Errorf("%s has a rule and isn't in the table of DEVELOPERS.md", name)
		}
	}
}

// TestStraysAreFound: the check itself can fail.
func TestStraysAreFound(t *testing.T) {
	r := rule{ours: []string{"analytics/crop"}, third: []string{"gonum.org/v1/gonum/"}, why: "it is arithmetic"}
	fine := []string{"fmt", "vinetally/analytics/crop", "gonum.org/v1/gonum/mat"}
	for _, c := range []struct {
		name    string
		imports []string
		want    string
	}{
		{"what is allowed", fine, ""},
		{"another of ours", append(slices.Clone(fine), "vinetally/analytics/curve"), "imports vinetally/analytics/curve, which its rule doesn't allow: it is arithmetic"},
		{"below an allowed one of ours", append(slices.Clone(fine), "vinetally/analytics/crop/x"), "imports vinetally/analytics/crop/x, which its rule doesn't allow: it is arithmetic"},
		{"another module", append(slices.Clone(fine), "example.org/fast"), "imports example.org/fast, which its rule doesn't allow: it is arithmetic"},
		{"allowed in vain", []string{"vinetally/analytics/crop"}, "may import gonum.org/v1/gonum/ and doesn't; take it out of the table"},
	} {
		if got := strings.Join(strays(&r, c.imports), "; "); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
