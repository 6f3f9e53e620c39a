package estimate

import (
	"fmt"
	"math"
)

// TooFew says that there is too little data to estimate anything: What (points, different values of x) is short.
type TooFew struct {
	What       string
	Need, Have int
}

func (e *TooFew) Error() string {
	return fmt.Sprintf("need at least %d %s, have %d", e.Need, e.What, e.Have)
}

// Invalid says that an argument is wrong: What it is, its Row counted from 0 (−1 if it is not about one row), and why.
type Invalid struct {
	What   string
	Row    int
	Detail string
}

func (e *Invalid) Error() string {
	if e.Row < 0 {
		return fmt.Sprintf("%s %s", e.What, e.Detail)
	}
	return fmt.Sprintf("%s of row %d %s", e.What, e.Row, e.Detail)
}

// NoFit says that no fit can be believed: the Check that failed, with what it measured and the tolerance that it had to
// keep. All numbers are finite.
type NoFit struct {
	Check
	// Detail is one clause that says what that means.
	Detail string
}

func (e *NoFit) Error() string {
	return fmt.Sprintf("no fit: %s is %.4g, must be %s %.4g: %s", e.Name, e.Measured, e.Rule, e.Tolerance, e.Detail)
}

func noFit(c Check, detail string) *NoFit {
	c.Measured = finite(c.Measured)
	return &NoFit{Check: c, Detail: detail}
}

// finite replaces what cannot be written as a JSON number by the nearest that can.
func finite(v float64) float64 {
	switch {
	case math.IsNaN(v), v > math.MaxFloat64:
		return math.MaxFloat64
	case v < -math.MaxFloat64:
		return -math.MaxFloat64
	}
	return v
}

func allFinite(vs ...float64) bool {
	for _, v := range vs {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}
