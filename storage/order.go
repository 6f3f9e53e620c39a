package storage

import (
	"encoding/base64"
	"encoding/json"
	"fmt"
	"reflect"
	"time"

	"vinetally/analytics/crop"
)

// order is how a list goes: by one column, then by id.
type order struct {
	column string
	when   clock
}

// clock says what kind of time the order's column is, if any.
type clock int

const (
	noTime clock = iota
	instant
	calendarDay
)

func byText(column string) order { return order{column, noTime} }
func byTime(column string) order { return order{column, instant} }
func byDay(column string) order  { return order{column, calendarDay} }

// bound turns one end of a span of time into what the column holds.
func (o order) bound(t time.Time) any {
	if o.when == calendarDay {
		return day(crop.DateOf(t))
	}
	return millisOf(t)
}

// cursor is the last record of a page: what the order's column held and the id. It is good as long as records are only
// added and taken away, because the next page starts after it whether it is still there or not.
type cursor struct {
	Kind crop.Kind `json:"k"`
	Time int64     `json:"t,omitempty"`
	Text string    `json:"s,omitempty"`
	ID   crop.ID   `json:"i"`
}

func (c cursor) String() string {
	text, _ := json.Marshal(c) // a struct of strings and numbers always can be
	return base64.RawURLEncoding.EncodeToString(text)
}

// cursorAfter makes the cursor that continues after a row.
func (t *table) cursorAfter(r row) cursor {
	c := cursor{Kind: t.kind, ID: r.base().id()}
	for i, column := range t.columns {
		if column != t.order.column {
			continue
		}
		switch v := reflect.ValueOf(r).Elem().FieldByIndex(t.fields[i]).Interface().(type) {
		case millis:
			c.Time = int64(v)
		case string:
			c.Text = v
		case day:
			c.Text = crop.Date(v).String()
		}
	}
	return c
}

// position returns the value of the order's column.
func (c cursor) position(o order) any {
	if o.when == instant {
		return c.Time
	}
	return c.Text
}

func parseCursor(kind crop.Kind, text string) (cursor, error) {
	var c cursor
	bytes, err := base64.RawURLEncoding.DecodeString(text)
	if err == nil {
		err = json.Unmarshal(bytes, &c)
	}
	if err != nil || c.Kind != kind {
		return c, &crop.Error{Code: crop.Invalid, Message: "the list can't be continued", Faults: []crop.Fault{{
			Pointer: "/cursor", Detail: fmt.Sprintf("is %.40q, which is no cursor of this list; start without one, then pass on the one in next", text),
		}}}
	}
	return c, nil
}
