package api

import (
	"cmp"
	"time"
)

// Limits are what one request may cost. A zero field takes the value of DefaultLimits.
type Limits struct {
	JSONBody    int64 // bytes of a record's body
	BulkBody    int64 // bytes of a body with many records
	HeaderBytes int   // bytes of all request headers
	ReadHeader  time.Duration
	Read        time.Duration // the whole request
	Bulk        time.Duration // the whole request and its answer, where a body has many records
	Write       time.Duration // the handler and its answer
	Idle        time.Duration // a kept-alive connection between requests
	Shutdown    time.Duration // for requests under way when the server is told to stop
}

// DefaultLimits returns the limits used where none are given.
func DefaultLimits() Limits {
	return Limits{
		JSONBody: 1 << 20, BulkBody: 64 << 20, HeaderBytes: 32 << 10,
		ReadHeader: 5 * time.Second, Read: 30 * time.Second, Write: 60 * time.Second, Bulk: 10 * time.Minute,
		Idle: 2 * time.Minute, Shutdown: 10 * time.Second,
	}
}

func (l Limits) orDefault() Limits {
	d := DefaultLimits()
	return Limits{
		JSONBody: cmp.Or(l.JSONBody, d.JSONBody), BulkBody: cmp.Or(l.BulkBody, d.BulkBody), HeaderBytes: cmp.Or(l.HeaderBytes, d.HeaderBytes),
		ReadHeader: cmp.Or(l.ReadHeader, d.ReadHeader), Read: cmp.Or(l.Read, d.Read),
		Write: cmp.Or(l.Write, d.Write), Bulk: cmp.Or(l.Bulk, d.Bulk), Idle: cmp.Or(l.Idle, d.Idle), Shutdown: cmp.Or(l.Shutdown, d.Shutdown),
	}
}
