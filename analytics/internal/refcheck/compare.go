package refcheck

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Answer is what a handler computed for a file.
type Answer struct {
	// Label tells answers of one file apart, such as the start that a fit began from. It may be empty.
	Label string
	// Got is written as JSON and compared with the expected tree: a number, string, bool, nil for "not available", or
	// slices, maps and structs of those. NaN and infinities are failures.
	Got any
	// Rules replace the file's tolerance, or set a floor, for some quantities.
	Rules []Rule
}

// Rule says how one quantity, and all below it, is compared.
type Rule struct {
	// At is the path of the quantity in the expected tree, such as "certified/estimate"; * stands for any one element.
	// The last rule that fits counts.
	At string
	// Rel and Abs replace the tolerance of the file, both of them, unless both are 0.
	Rel, Abs float64
	// Digits is a floor on −log10(|got − want|/|want|) that holds besides the tolerance.
	Digits float64
	// Why is the reason; a rule without one is a failure.
	Why string
}

// mostDigits is the agreement of two equal float64.
const mostDigits = 16

// outcome is the comparison of one answer with one file.
type outcome struct {
	failures   []string
	quantities int
	// digits is the worst agreement of all numbers that are not expected to be 0, worst the path of that number.
	digits float64
	worst  string
	// floors is the worst agreement below each rule that sets a floor.
	floors map[string]float64
}

func compare(f File, a Answer) outcome {
	o := outcome{digits: mostDigits, floors: map[string]float64{}}
	var want, got any
	if err := json.Unmarshal(f.Expected, &want); err != nil {
		return outcome{failures: []string{fmt.Sprintf("expected: %v", err)}}
	}
	raw, err := json.Marshal(a.Got)
	if err == nil {
		err = json.Unmarshal(raw, &got)
	}
	if err != nil {
		return outcome{failures: []string{fmt.Sprintf("answer cannot be written as JSON: %v", err)}}
	}
	for _, r := range a.Rules {
		if r.Why == "" {
			o.fail(r.At, "has a rule without a reason")
		}
	}
	c := comparer{outcome: &o, file: f, rules: a.Rules}
	c.walk("", want, got)
	if o.quantities == 0 && len(o.failures) == 0 {
		o.fail("", "expected holds no quantity")
	}
	return o
}

func (o *outcome) fail(at, format string, args ...any) {
	o.failures = append(o.failures, strings.TrimSpace(at+" "+fmt.Sprintf(format, args...)))
}

type comparer struct {
	*outcome
	file  File
	rules []Rule
}

func (c comparer) walk(at string, want, got any) {
	switch want := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok {
			c.fail(at, "is %v, want an object", got)
			return
		}
		for _, key := range slices.Sorted(maps.Keys(want)) {
			below := path.Join(at, strings.ReplaceAll(key, "/", "|"))
			if value, given := g[key]; given {
				c.walk(below, want[key], value)
			} else {
				c.fail(below, "is expected, but the handler does not give it")
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(want) {
			c.fail(at, "is %v, want a list of %d", got, len(want))
			return
		}
		for i := range want {
			c.walk(path.Join(at, strconv.Itoa(i)), want[i], g[i])
		}
	case float64:
		c.quantities++
		if g, ok := got.(float64); ok {
			c.number(at, want, g)
		} else {
			c.fail(at, "is %v, want %v", got, want)
		}
	default: // nil, string, bool
		c.quantities++
		if got != want {
			c.fail(at, "is %v, want %v", available(got), available(want))
		}
	}
}

func available(v any) any {
	if v == nil {
		return "not available"
	}
	return v
}

// smallP is where p-values need to agree only absolutely.
const smallP = 1e-12

func (c comparer) number(at string, want, got float64) {
	rule := Rule{Rel: c.file.Tolerance.Rel, Abs: c.file.Tolerance.Abs}
	for _, r := range c.rules {
		if !fits(r.At, at) {
			continue
		}
		rule.At, rule.Digits = r.At, r.Digits
		if r.Rel != 0 || r.Abs != 0 {
			rule.Rel, rule.Abs = r.Rel, r.Abs
		}
	}
	gap := math.Abs(got - want)
	if isP(at) && math.Abs(want) < smallP {
		if gap > smallP {
			c.fail(at, "is %v, want %v within %v", got, want, smallP)
		}
		return
	}
	if !(gap <= math.Max(rule.Rel*math.Abs(want), rule.Abs)) {
		c.fail(at, "is %v, want %v within rel %v or abs %v", got, want, rule.Rel, rule.Abs)
	}
	if want == 0 {
		return
	}
	digits := digitsOf(got, want)
	if digits < rule.Digits {
		c.fail(at, "is %v, want %v: %.1f digits agree, need %v", got, want, digits, rule.Digits)
	}
	if rule.Digits > 0 {
		if floor, seen := c.floors[rule.At]; !seen || digits < floor {
			c.floors[rule.At] = digits
		}
	}
	if c.worst == "" || digits < c.digits {
		c.digits, c.worst = digits, at
	}
}

// digitsOf returns −log10(|got − want|/|want|), at most mostDigits and at least 0.
func digitsOf(got, want float64) float64 {
	if got == want {
		return mostDigits
	}
	return max(0, min(mostDigits, -math.Log10(math.Abs(got-want)/math.Abs(want))))
}

// fits reports whether the pattern is the path or the path of something above it.
func fits(pattern, at string) bool {
	p, a := strings.Split(pattern, "/"), strings.Split(at, "/")
	if len(p) > len(a) {
		return false
	}
	for i := range p {
		if p[i] != "*" && p[i] != a[i] {
			return false
		}
	}
	return true
}

// isP reports whether any element of the path names a p-value: p, p_tukey, permutation_p, p_value.
func isP(at string) bool {
	return slices.ContainsFunc(strings.Split(at, "/"), func(s string) bool {
		return s == "p" || strings.HasPrefix(s, "p_") || strings.HasSuffix(s, "_p") || strings.Contains(s, "pvalue")
	})
}
