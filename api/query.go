package api

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// query is the parameters of a request, each known and given once.
type query struct {
	values url.Values
	faults []fault
}

// parseQuery notes parameters that aren't known or stand twice.
func parseQuery(c *gin.Context, known ...string) *query {
	q := &query{}
	var err error
	if q.values, err = url.ParseQuery(c.Request.URL.RawQuery); err != nil {
		q.fault("", "the part of the address after ? can't be read: "+reason(err)+"; escape its values as RFC 3986 says")
	}
	list := "it takes none"
	if len(known) > 0 {
		list = "it takes " + strings.Join(known, ", ")
	}
	for _, name := range sortedNames(q.values) {
		if !slices.Contains(known, name) {
			q.fault(name, "is not a parameter of this address; "+list)
		} else if len(q.values[name]) > 1 {
			q.fault(name, fmt.Sprintf("is given %d times; give it once", len(q.values[name])))
		}
	}
	return q
}

func (q *query) fault(name, detail string) {
	q.faults = append(q.faults, fault{Parameter: name, Detail: detail})
}

// err is the problem of all faults found.
func (q *query) err() error {
	if len(q.faults) == 0 {
		return nil
	}
	p := refuse(invalidParameter, "%s", q.faults[0].Detail)
	if name := q.faults[0].Parameter; name != "" {
		p.Detail = name + " " + p.Detail
	}
	p.Errors = q.faults
	return p
}

func (q *query) get(name string) (string, bool) {
	if !q.values.Has(name) {
		return "", false
	}
	return q.values.Get(name), true
}

func (q *query) id(name string) *crop.ID {
	s, ok := q.get(name)
	if !ok {
		return nil
	}
	id, err := crop.ParseID(s)
	if err != nil {
		q.fault(name, fmt.Sprintf("is %.60q, which is %s", s, err))
		return nil
	}
	return &id
}

func (q *query) limit() int { return q.whole("limit", 1, 500, 0) }

// whole reads a whole number between two bounds.
func (q *query) whole(name string, low, high, otherwise int) int {
	s, ok := q.get(name)
	if !ok {
		return otherwise
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < low || n > high {
		q.fault(name, fmt.Sprintf("is %.60q; it must be a whole number from %d to %d", s, low, high))
		return otherwise
	}
	return n
}

// number reads a number between two bounds; nil if it isn't given.
func (q *query) number(name string, low, high float64) *float64 {
	s, ok := q.get(name)
	if !ok {
		return nil
	}
	x, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(x) || x < low || x > high {
		q.fault(name, fmt.Sprintf("is %.60q; it must be a number from %s to %s", s, inFull(low), inFull(high)))
		return nil
	}
	return &x
}

// plusSigned takes the space that a plus sign without an escape arrives as for what was meant.
func plusSigned(s string) string { return strings.Replace(s, " ", "+", 1) }

// instant reads RFC 3339.
func (q *query) instant(name string) *time.Time {
	s, ok := q.get(name)
	if !ok {
		return nil
	}
	m, err := crop.ParseMoment(plusSigned(s))
	if err != nil || !m.TimeKnown() {
		q.fault(name, fmt.Sprintf("is %.60q; it must be a time as RFC 3339 with an offset, such as 2026-02-03T08:15:00Z", s))
		return nil
	}
	return &m.At
}

// day reads a day.
func (q *query) day(name string) *crop.Date {
	s, ok := q.get(name)
	if !ok {
		return nil
	}
	d, err := crop.ParseDate(s)
	if err != nil {
		q.fault(name, fmt.Sprintf("is %.60q; it must be a day as YYYY-MM-DD, such as 2026-02-03", s))
		return nil
	}
	return &d
}

// bound reads one end of a span of time: an instant as RFC 3339, or a day alone.
func (q *query) bound(name string) (*time.Time, *crop.Date) {
	s, ok := q.get(name)
	if !ok {
		return nil, nil
	}
	m, err := crop.ParseMoment(plusSigned(s))
	switch {
	case err != nil:
		q.fault(name, fmt.Sprintf("is %.60q; it must be a day as YYYY-MM-DD, or a time as RFC 3339 with an offset, such as 2026-02-03T08:15:00Z", s))
		return nil, nil
	case m.TimeKnown():
		return &m.At, nil
	}
	return nil, &m.Day
}

// truth reads true or false; false if it isn't given.
func (q *query) truth(name string) bool {
	s, ok := q.get(name)
	if ok && s != "true" && s != "false" {
		q.fault(name, fmt.Sprintf("is %.60q; it must be true or false", s))
	}
	return s == "true"
}

// holdDays reads a hold time, with the bounds of a cultivar's own.
func (q *query) holdDays() *float64 {
	const name = "hold_days"
	s, ok := q.get(name)
	if !ok {
		return nil
	}
	d, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsNaN(d) || d < 0.25 || d > 365 {
		q.fault(name, fmt.Sprintf("is %.60q; it must be a number of days from 0.25 to 365", s))
		return nil
	}
	return &d
}

// price reads what a kilogram is worth.
func (q *query) price(name string) *float64 { return q.number(name, 0, MostPrice) }

// MostPrice is the most that a kilogram may be worth, in any money.
const MostPrice = 1_000_000

func sortedNames(v url.Values) []string {
	names := make([]string, 0, len(v))
	for name := range v {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}
