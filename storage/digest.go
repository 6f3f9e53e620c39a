package storage

import (
	"crypto/sha256"
	"encoding/binary"
	"math"

	"vinetally/analytics/crop"
)

// Every stored version of a record carries a digest: the first 8 bytes of SHA-256 (FIPS 180-4), as a big-endian integer,
// over the digest of the version before it (0 for the first) and all that is stored of the version, so that a record's
// versions form a chain through the history. It is there to find damage. It is no seal against somebody who wants to forge
// a record and has the program to do so.
//
// Every value goes in as a mark of what it is and its bytes, a text with its length before it, so that two rows give the
// same bytes only if they are the same. A row struct's encode lists its columns; digestLayout tells which
// lists made the digests of a file.
type digester struct {
	buf []byte // used again, so that a digest allocates nothing
}

// The marks of values, and of what a digest is over.
const (
	isNull = iota
	isInteger
	isReal
	isText
	isKey
	ofRow
	ofHistory
	ofSite
)

// row returns the digest of a current version; previous is the digest of the version before.
func (d *digester) row(site int64, kind crop.Kind, r row, previous int64) int64 {
	base := r.base()
	d.start(ofRow, previous)
	d.integer(site)
	d.text(string(kind))
	d.key(base.ID)
	d.integer(base.Version)
	d.integer(int64(base.RecordedAt))
	d.text(base.Actor)
	r.encode(d)
	return d.sum()
}

// history returns the digest of a version in the history.
func (d *digester) history(h *historyRow, previous int64) int64 {
	d.start(ofHistory, previous)
	d.integer(h.SiteID)
	d.text(h.Kind)
	d.key(h.RecordID)
	d.integer(h.Version)
	d.integer(int64(h.RecordedAt))
	d.text(h.Actor)
	d.boolean(h.Deleted)
	d.text(h.Body)
	return d.sum()
}

// site returns the digest of a site: what never changes of it, plus its change number, so that one statement can move both
// on. Two bits are left off, so that the sum doesn't overflow.
func (d *digester) site(s *siteRow) int64 {
	d.start(ofSite, 0)
	d.integer(s.ID)
	d.key(s.UUID)
	d.integer(s.CreatedAt)
	return d.sum()&(1<<62-1) + s.Change
}

func (d *digester) start(of byte, previous int64) {
	d.buf = append(d.buf[:0], of)
	d.integer(previous)
}

func (d *digester) sum() int64 {
	sum := sha256.Sum256(d.buf)
	return int64(binary.BigEndian.Uint64(sum[:]))
}

func (d *digester) null() { d.buf = append(d.buf, isNull) }

func (d *digester) integer(n int64) {
	d.buf = binary.BigEndian.AppendUint64(append(d.buf, isInteger), uint64(n))
}

func (d *digester) boolean(b bool) {
	if b {
		d.integer(1)
	} else {
		d.integer(0)
	}
}

func (d *digester) real(x float64) {
	d.buf = binary.BigEndian.AppendUint64(append(d.buf, isReal), math.Float64bits(x))
}

func (d *digester) text(s string) {
	d.buf = binary.BigEndian.AppendUint64(append(d.buf, isText), uint64(len(s)))
	d.buf = append(d.buf, s...)
}

func (d *digester) key(k key) { d.buf = append(append(d.buf, isKey), k[:]...) }

// day goes in as the number yyyymmdd; its text has no other form.
func (d *digester) day(v day) { d.integer(int64(v.Year)*10000 + int64(v.Month)*100 + int64(v.Day)) }

func (d *digester) optionalInteger(n *int) {
	if n == nil {
		d.null()
		return
	}
	d.integer(int64(*n))
}

func (d *digester) optionalReal(x *float64) {
	if x == nil {
		d.null()
		return
	}
	d.real(*x)
}

func (d *digester) optionalKey(k *key) {
	if k == nil {
		d.null()
		return
	}
	d.key(*k)
}

func (d *digester) optionalDay(v *day) {
	if v == nil {
		d.null()
		return
	}
	d.day(*v)
}
