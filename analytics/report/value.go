package report

import (
	"fmt"
	"strings"

	"vinetally/analytics/yield"
)

// valueWords say what the marketable fruit is worth, once a price is given and something was picked.
func (s *Season) valueWords() []Statement {
	if s.PricePerKg == nil || s.Yield.Fruits == 0 && s.Yield.Uncounted == 0 {
		return nil
	}
	price, g := *s.PricePerKg, s.Harvest.Marketable
	at := fmt.Sprintf("At %s a kilogram", strings.TrimSuffix(Money(price), ".00"))
	if g.Missing > 0 {
		return []Statement{{fmt.Sprintf("%s the marketable fruit is worth at least %s: the mass of %d fruit isn't known.", at, Money(price*g.G()/1000), g.Missing), Plain}}
	}
	text := at + " the marketable fruit is worth " + valueText(g, price, " (90 % interval ", " to ")
	if low, _ := g.Interval(); low == nil {
		text += "; no interval is given, since fruit of several kinds were weighed together or too few by themselves"
	}
	return []Statement{{text + ".", Plain}}
}

// ValueText is what a mass is worth at a price a kilogram, with its interval in brackets; "not known" where the mass isn't.
func ValueText(g yield.Grams, price float64) string {
	if g.Missing > 0 {
		return "not known"
	}
	return valueText(g, price, " (", " – ")
}

func valueText(g yield.Grams, price float64, open, to string) string {
	text := Money(price * g.G() / 1000)
	switch low, high := g.Interval(); {
	case low == nil:
		return "about " + text
	case Money(price**low/1000) != Money(price**high/1000):
		text += open + Money(price**low/1000) + to + Money(price**high/1000) + ")"
	}
	return text
}

// Money writes an amount of the money that a price was given in, with two decimals.
func Money(x float64) string { return Rounded(x, 2) }
