package storage

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"strings"

	"vinetally/analytics/crop"
)

// siteRow is who owns the records.
type siteRow struct {
	ID        int64
	UUID      key `gorm:"column:uuid"`
	Change    int64
	CreatedAt int64 `gorm:"autoCreateTime:false"`
	Digest    int64
	Records   int64 // how many there are
}

func (siteRow) TableName() string { return "sites" }

// historyRow is a version that is no longer current, or a deletion.
type historyRow struct {
	SiteID     int64
	Kind       string
	RecordID   key
	Version    int64
	RecordedAt millis
	Actor      string
	Deleted    bool
	Body       string
	Digest     int64
}

func (historyRow) TableName() string { return "history" }

// compare orders versions by record and age, as the table does.
func (r *historyRow) compare(other *historyRow) int {
	return cmp.Or(strings.Compare(r.Kind, other.Kind), bytes.Compare(r.RecordID[:], other.RecordID[:]), cmp.Compare(r.Version, other.Version))
}

func (r *historyRow) stored() (crop.Stored, error) {
	rec := crop.New(crop.Kind(r.Kind))
	if rec == nil {
		return crop.Stored{}, fmt.Errorf("history holds the unknown kind %q", r.Kind)
	}
	if err := json.Unmarshal([]byte(r.Body), rec); err != nil {
		return crop.Stored{}, fmt.Errorf("read version %d of %s %s: %w", r.Version, r.Kind, crop.ID(r.RecordID), err)
	}
	return crop.Stored{
		Record: normal(rec), Version: r.Version, RecordedAt: r.RecordedAt.time(), Actor: r.Actor, Deleted: r.Deleted,
	}, nil
}
