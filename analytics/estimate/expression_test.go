package estimate

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/expr-lang/expr/ast"
	"github.com/expr-lang/expr/parser"
	"gonum.org/v1/gonum/num/dual"
)

// expression is a Model read from a string such as "y = b1 * (1 - exp(-b2*x))", with exact derivatives by dual numbers.
// It lets the tests fit any model that a reference file writes down.
type expression struct {
	names []string
	eval  func(x float64, theta []dual.Number) dual.Number
}

// parseExpression reads the right-hand side of y = …. Both ^ and ** are powers; every name but x, pi and the functions is a
// parameter. Parameters b1, b2, … come in the order of their numbers, others in the order in which they first stand.
func parseExpression(s string) (*expression, error) {
	s = strings.TrimSpace(strings.TrimPrefix(strings.TrimSpace(s), "y ="))
	s = strings.NewReplacer("[", "(", "]", ")").Replace(s) // exp[…] of the NIST files
	tree, err := parser.Parse(s)
	if err != nil {
		return nil, fmt.Errorf("model %q: %w", s, err)
	}
	m := &expression{}
	m.collect(tree.Node)
	if numbered := regexp.MustCompile(`^b\d+$`); !slices.ContainsFunc(m.names, func(n string) bool { return !numbered.MatchString(n) }) {
		slices.SortFunc(m.names, func(a, b string) int { return number(a) - number(b) })
	}
	m.eval, err = m.compile(tree.Node)
	if err != nil {
		return nil, fmt.Errorf("model %q: %w", s, err)
	}
	return m, nil
}

func number(name string) int {
	n, _ := strconv.Atoi(name[1:])
	return n
}

// collect appends the parameters in the order of the text.
func (m *expression) collect(n ast.Node) {
	switch n := n.(type) {
	case *ast.IdentifierNode:
		if n.Value != "x" && n.Value != "pi" && !slices.Contains(m.names, n.Value) {
			m.names = append(m.names, n.Value)
		}
	case *ast.UnaryNode:
		m.collect(n.Node)
	case *ast.BinaryNode:
		m.collect(n.Left)
		m.collect(n.Right)
	case *ast.CallNode:
		for _, a := range n.Arguments {
			m.collect(a)
		}
	}
}

type term = func(x float64, theta []dual.Number) dual.Number

func constant(v float64) term {
	return func(float64, []dual.Number) dual.Number { return dual.Number{Real: v} }
}

var functions = map[string]func(dual.Number) dual.Number{
	"exp": dual.Exp, "log": dual.Log, "sqrt": dual.Sqrt, "sin": dual.Sin, "cos": dual.Cos, "atan": dual.Atan, "arctan": dual.Atan,
}

func (m *expression) compile(n ast.Node) (term, error) {
	switch n := n.(type) {
	case *ast.IntegerNode:
		return constant(float64(n.Value)), nil
	case *ast.FloatNode:
		return constant(n.Value), nil
	case *ast.IdentifierNode:
		switch n.Value {
		case "x":
			return func(x float64, _ []dual.Number) dual.Number { return dual.Number{Real: x} }, nil
		case "pi":
			return constant(math.Pi), nil
		}
		j := slices.Index(m.names, n.Value)
		return func(_ float64, theta []dual.Number) dual.Number { return theta[j] }, nil
	case *ast.UnaryNode:
		inner, err := m.compile(n.Node)
		if err != nil || n.Operator == "+" {
			return inner, err
		}
		if n.Operator != "-" {
			return nil, fmt.Errorf("operator %s is not known", n.Operator)
		}
		return func(x float64, theta []dual.Number) dual.Number { return dual.Scale(-1, inner(x, theta)) }, nil
	case *ast.CallNode:
		name, ok := n.Callee.(*ast.IdentifierNode)
		if !ok || len(n.Arguments) != 1 || functions[name.Value] == nil {
			return nil, fmt.Errorf("call of %v is not known", n.Callee)
		}
		argument, err := m.compile(n.Arguments[0])
		f := functions[name.Value]
		return func(x float64, theta []dual.Number) dual.Number { return f(argument(x, theta)) }, err
	case *ast.BinaryNode:
		left, err := m.compile(n.Left)
		if err != nil {
			return nil, err
		}
		right, err := m.compile(n.Right)
		if err != nil {
			return nil, err
		}
		var f func(a, b dual.Number) dual.Number
		switch n.Operator {
		case "+":
			f = dual.Add
		case "-":
			f = dual.Sub
		case "*":
			f = dual.Mul
		case "/":
			f = func(a, b dual.Number) dual.Number { return dual.Mul(a, dual.Inv(b)) }
		case "^", "**":
			f = power
		default:
			return nil, fmt.Errorf("operator %s is not known", n.Operator)
		}
		return func(x float64, theta []dual.Number) dual.Number { return f(left(x, theta), right(x, theta)) }, nil
	}
	return nil, fmt.Errorf("%T is not known", n)
}

// power is aᵇ. dual.Pow takes a logarithm of a, which must not be done where b is constant or a is the number 0.
func power(a, b dual.Number) dual.Number {
	switch {
	case b.Emag == 0:
		return dual.PowReal(a, b.Real)
	case a.Real == 0 && a.Emag == 0:
		return dual.Number{Real: math.Pow(0, b.Real)}
	}
	return dual.Pow(a, b)
}

func (m *expression) Names() []string { return m.names }

func (m *expression) Value(x float64, theta []float64) float64 {
	return m.eval(x, lift(theta, -1)).Real
}

func (m *expression) Gradient(x float64, theta, grad []float64) float64 {
	for j := range grad {
		grad[j] = m.eval(x, lift(theta, j)).Emag
	}
	return m.Value(x, theta)
}

func lift(theta []float64, j int) []dual.Number {
	out := make([]dual.Number, len(theta))
	for i, v := range theta {
		out[i].Real = v
	}
	if j >= 0 {
		out[j].Emag = 1
	}
	return out
}

// mustParse is parseExpression for models written in the tests.
func mustParse(t testing.TB, s string) *expression {
	t.Helper()
	m, err := parseExpression(s)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestExpressionFollowsTheOrderOfOperations(t *testing.T) {
	cases := []struct {
		name, model string
		x           float64
		theta       []float64
		value       float64
		gradient    []float64
	}{
		{"power binds tighter than minus", "y = -b1^2", 0, []float64{3}, -9, []float64{-6}},
		{"power of a negative", "y = (x - b1)**2", 1, []float64{3}, 4, []float64{4}},
		{"power is right to left", "y = b1^b2^2", 0, []float64{2, 2}, 16, []float64{32, 16 * math.Ln2 * 4}},
		{"power in a product", "y = b1 * x^2 / 4", 6, []float64{2}, 18, []float64{9}},
		{"negative exponent", "y = b1^-1", 0, []float64{4}, 0.25, []float64{-1. / 16}},
		{"zero to a power", "y = b1 + x^b2", 0, []float64{5, 2}, 5, []float64{1, 0}},
		{"order of numbers", "y = b2 - b1", 0, []float64{1, 10}, 9, []float64{-1, 1}},
		{"order of the text", "y = Vm * x / (K + x)", 3, []float64{8, 1}, 6, []float64{0.75, -1.5}},
		{"square brackets", "y = b1*(1-exp[-b2*x])", 2, []float64{3, 0}, 0, []float64{0, 6}},
		{"integer division is exact", "y = b1 * (1/2)", 0, []float64{3}, 1.5, []float64{0.5}},
		{"four-parameter sigmoid", "y = b1 / ((1+exp(b2-b3*x))**(1/b4))", 1, []float64{8, 1, 1, 0.5}, 2, []float64{0.25, -2, 2, 8 * math.Ln2}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			m := mustParse(t, c.model)
			if got := m.Value(c.x, c.theta); math.Abs(got-c.value) > 1e-14*math.Abs(c.value) {
				t.Errorf("value: got %v, want %v", got, c.value)
			}
			grad := make([]float64, len(c.theta))
			m.Gradient(c.x, c.theta, grad)
			for j := range grad {
				if math.Abs(grad[j]-c.gradient[j]) > 1e-13*math.Max(1, math.Abs(c.gradient[j])) {
					t.Errorf("gradient of %s: got %v, want %v", m.names[j], grad[j], c.gradient[j])
				}
			}
		})
	}
	for _, bad := range []string{"y = b1 +", "y = tan(b1)", "y = b1 > 2", "y = not b1"} {
		if _, err := parseExpression(bad); err == nil {
			t.Errorf("%q: got no error", bad)
		}
	}
}
