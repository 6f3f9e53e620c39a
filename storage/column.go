package storage

import (
	"database/sql/driver"
	"fmt"
	"time"

	"vinetally/analytics/crop"
)

// key is an id as a column: its 16 bytes.
type key crop.ID

// Value writes the bytes.
func (k key) Value() (driver.Value, error) { return k[:], nil }

// Scan reads the bytes.
func (k *key) Scan(src any) error {
	b, ok := src.([]byte)
	if !ok || len(b) != len(k) {
		return fmt.Errorf("id column holds %T, want 16 bytes", src)
	}
	copy(k[:], b)
	return nil
}

func keyOf(id *crop.ID) *key      { return (*key)(id) }
func (k *key) optional() *crop.ID { return (*crop.ID)(k) }

// day is a date as a column: YYYY-MM-DD.
type day crop.Date

// Value writes the text.
func (d day) Value() (driver.Value, error) { return crop.Date(d).String(), nil }

// Scan reads the text.
func (d *day) Scan(src any) error {
	var text string
	switch v := src.(type) {
	case string:
		text = v
	case []byte:
		text = string(v)
	default:
		return fmt.Errorf("date column holds %T, want text", src)
	}
	return (*crop.Date)(d).UnmarshalText([]byte(text))
}

func dayOf(d *crop.Date) *day       { return (*day)(d) }
func (d *day) optional() *crop.Date { return (*crop.Date)(d) }

// millis are UTC milliseconds since 1970.
type millis int64

func millisOf(t time.Time) millis { return millis(t.UnixMilli()) }

func (m millis) time() time.Time { return time.UnixMilli(int64(m)).UTC() }

// momentColumns splits a moment into its two columns.
func momentColumns(m crop.Moment) (millis, *day) {
	if m.TimeKnown() {
		return millisOf(m.At), nil
	}
	return millisOf(m.At), new(day(m.Day))
}

// momentOf joins the two columns; the moment is in UTC until it is placed.
func momentOf(at millis, d *day) crop.Moment {
	m := crop.Moment{At: at.time()}
	if d != nil {
		m.Day = crop.Date(*d)
	}
	return m
}
