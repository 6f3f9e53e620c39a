package refcheck

import (
	"encoding/json"
	"math"
	"strings"
	"testing"
)

func fileOf(expected string, rel, abs float64) File {
	return File{ID: "case", Method: "m", Data: json.RawMessage(`{}`), Expected: json.RawMessage(expected), Tolerance: Tolerance{Rel: rel, Abs: abs}}
}

type tree = map[string]any

func TestCompare(t *testing.T) {
	ok := []Rule{}
	cases := []struct {
		name     string
		expected string
		rel, abs float64
		got      any
		rules    []Rule
		fails    string // "" for none, else part of the only failure
	}{
		{"equal", `{"a": 1.5, "b": [1, 2]}`, 1e-9, 0, tree{"a": 1.5, "b": []float64{1, 2}}, ok, ""},
		{"within rel", `{"a": 100}`, 1e-3, 0, tree{"a": 100.09}, ok, ""},
		{"beyond rel", `{"a": 100}`, 1e-3, 0, tree{"a": 100.2}, ok, "a is 100.2, want 100"},
		{"within abs", `{"a": 0}`, 1e-3, 1e-6, tree{"a": 1e-7}, ok, ""},
		{"beyond abs", `{"a": 0}`, 1e-3, 1e-6, tree{"a": 1e-5}, ok, "a is 1e-05"},
		{"no tolerance means equal", `{"a": 3}`, 0, 0, tree{"a": 3.0000001}, ok, "a is 3.0000001"},
		{"a missing quantity", `{"a": 1, "b": {"c": 2, "d": 3}}`, 1e-6, 0, tree{"a": 1, "b": tree{"c": 2}}, ok, "b/d is expected, but the handler does not give it"},
		{"an unknown group", `{"a": 1, "new": {"c": 2}}`, 1e-6, 0, tree{"a": 1}, ok, "new is expected, but the handler does not give it"},
		{"more than is expected", `{"a": 1}`, 1e-6, 0, tree{"a": 1, "b": 2}, ok, ""},
		{"not available", `{"a": null}`, 1e-6, 0, tree{"a": nil}, ok, ""},
		{"nil pointer is not available", `{"a": null}`, 1e-6, 0, tree{"a": (*float64)(nil)}, ok, ""},
		{"0 where nothing is available", `{"a": null}`, 1e-6, 1, tree{"a": 0}, ok, "a is 0, want not available"},
		{"left out where nothing is available", `{"a": null}`, 1e-6, 0, tree{}, ok, "a is expected"},
		{"nothing where a number is", `{"a": 0}`, 1e-6, 1, tree{"a": nil}, ok, "a is <nil>, want 0"},
		{"NaN", `{"a": 1}`, 1e-6, 1, tree{"a": math.NaN()}, ok, "cannot be written as JSON"},
		{"infinite", `{"a": null}`, 1e-6, 1, tree{"a": math.Inf(1)}, ok, "cannot be written as JSON"},
		{"short list", `{"a": [1, 2]}`, 1e-6, 0, tree{"a": []int{1}}, ok, "want a list of 2"},
		{"long list", `{"a": [1]}`, 1e-6, 0, tree{"a": []int{1, 2}}, ok, "want a list of 1"},
		{"row of a matrix", `{"a": [[1, 2], [3, 4]]}`, 1e-6, 0, tree{"a": [][]float64{{1, 2}, {3, 5}}}, ok, "a/1/1 is 5, want 4"},
		{"number for an object", `{"a": {"b": 1}}`, 1e-6, 0, tree{"a": 1}, ok, "a is 1, want an object"},
		{"string", `{"a": "logistic"}`, 1e-6, 0, tree{"a": "gompertz"}, ok, "a is gompertz, want logistic"},
		{"string for a number", `{"a": 1}`, 1e-6, 0, tree{"a": "1"}, ok, "a is 1, want 1"},
		{"bool", `{"a": true}`, 1e-6, 0, tree{"a": false}, ok, "a is false, want true"},
		{"nothing expected", `{}`, 1e-6, 0, tree{}, ok, "expected holds no quantity"},
		{"small p-value agrees absolutely", `{"p": 1e-20}`, 1e-6, 0, tree{"p": 5e-13}, ok, ""},
		{"small p-value too large", `{"p_tukey": [1e-20]}`, 1e-6, 0, tree{"p_tukey": []float64{2e-12}}, ok, "p_tukey/0"},
		{"larger p-value agrees by the tolerance", `{"p": 1e-6}`, 1e-6, 0, tree{"p": 1.1e-6}, ok, "p is 1.1e-06"},
		{"small number that is no p-value", `{"pwr": 1e-20}`, 1e-6, 0, tree{"pwr": 5e-13}, ok, "pwr is 5e-13"},
		{"rule loosens", `{"a": 100, "b": 100}`, 1e-9, 0, tree{"a": 100.001, "b": 100}, []Rule{{At: "a", Rel: 1e-4, Why: "w"}}, ""},
		{"rule loosens only its own", `{"a": 100, "ab": 100}`, 1e-9, 0, tree{"a": 100, "ab": 100.001}, []Rule{{At: "a", Rel: 1e-4, Why: "w"}}, "ab is 100.001"},
		{"rule tightens what is below it", `{"a": {"b": [100]}}`, 1e-2, 0, tree{"a": tree{"b": []float64{100.001}}}, []Rule{{At: "a", Rel: 1e-9, Why: "w"}}, "a/b/0 is 100.001"},
		{"rule for any element", `{"a": {"x": {"r": 100}}}`, 1e-2, 0, tree{"a": tree{"x": tree{"r": 100.001}}}, []Rule{{At: "a/*/r", Rel: 1e-9, Why: "w"}}, "a/x/r"},
		{"last rule counts", `{"a": 100}`, 1e-9, 0, tree{"a": 100.001}, []Rule{{At: "a", Rel: 1e-9, Why: "w"}, {At: "a", Rel: 1e-4, Why: "w"}}, ""},
		{"floor of digits within the tolerance", `{"a": 100}`, 1e-2, 0, tree{"a": 100.001}, []Rule{{At: "a", Digits: 8, Why: "w"}}, "5.0 digits agree, need 8"},
		{"floor kept", `{"a": 100}`, 1e-2, 0, tree{"a": 100.0000001}, []Rule{{At: "a", Digits: 8, Why: "w"}}, ""},
		{"rule without a reason", `{"a": 1}`, 1e-2, 0, tree{"a": 1}, []Rule{{At: "a", Rel: 1e-3}}, "without a reason"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			o := compare(fileOf(c.expected, c.rel, c.abs), Answer{Got: c.got, Rules: c.rules})
			switch {
			case c.fails == "" && len(o.failures) > 0:
				t.Errorf("got failures %q, want none", o.failures)
			case c.fails != "" && (len(o.failures) != 1 || !strings.Contains(o.failures[0], c.fails)):
				t.Errorf("got failures %q, want one with %q", o.failures, c.fails)
			}
		})
	}
}

func TestDigitsNameTheWorstQuantity(t *testing.T) {
	o := compare(fileOf(`{"a": 100, "b": {"c": 10}, "zero": 0, "n": 7}`, 1, 1),
		Answer{Got: tree{"a": 100.001, "b": tree{"c": 10.01}, "zero": 0.5, "n": 7}, Rules: []Rule{{At: "a", Digits: 3, Why: "w"}}})
	if o.worst != "b/c" || math.Abs(o.digits-3) > 1e-9 || o.quantities != 4 {
		t.Errorf("got %v digits at %q of %d quantities, want 3 at b/c of 4", o.digits, o.worst, o.quantities)
	}
	if math.Abs(o.floors["a"]-5) > 1e-9 {
		t.Errorf("got %v digits below the rule, want 5", o.floors["a"])
	}
	if got := digitsOf(2, 2); got != mostDigits {
		t.Errorf("equal numbers: got %v digits", got)
	}
}
