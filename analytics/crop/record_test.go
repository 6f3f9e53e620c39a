package crop_test

import (
	"errors"
	"fmt"
	"testing"

	"vinetally/analytics/crop"
)

// TestKinds: every kind has its record, which knows its kind and keeps its id.
func TestKinds(t *testing.T) {
	kinds := crop.Kinds()
	if len(kinds) != 11 {
		t.Errorf("%d kinds, want the contract's 11", len(kinds))
	}
	for _, kind := range kinds {
		r := crop.New(kind)
		if r == nil || r.RecordKind() != kind || !r.Identity().IsZero() {
			t.Errorf("%s: New makes %+v", kind, r)
			continue
		}
		if r.SetIdentity(fresh); r.Identity() != fresh {
			t.Errorf("%s: keeps the id %s, want %s", kind, r.Identity(), fresh)
		}
	}
	if r := crop.New("trusses"); r != nil {
		t.Errorf("an unknown kind makes %+v, want nil", r)
	}
}

// TestKindsInOrder: a record refers only to kinds that come before its own, so that a batch sorted by kind can be stored.
func TestKindsInOrder(t *testing.T) {
	position := map[crop.Kind]int{}
	for i, kind := range crop.Kinds() {
		position[kind] = i
	}
	for _, c := range []struct{ from, to crop.Kind }{
		{crop.Cultivars, crop.Scales}, {crop.Plants, crop.Seasons}, {crop.Plants, crop.Places}, {crop.Plants, crop.Cultivars},
		{crop.Visits, crop.Plants}, {crop.Pickings, crop.Plants}, {crop.Losses, crop.Plants}, {crop.Diary, crop.Plants},
		{crop.Temperatures, crop.Places}, {crop.Germinations, crop.Cultivars},
	} {
		if position[c.from] <= position[c.to] {
			t.Errorf("%s come before %s, which they refer to", c.from, c.to)
		}
	}
}

func TestCodeOf(t *testing.T) {
	stale := crop.Errorf(crop.Stale, "version %d is the last", 3)
	for _, c := range []struct {
		name string
		err  error
		want crop.Code
	}{
		{"none", nil, ""},
		{"internal", errors.New("disk full"), ""},
		{"plain", stale, crop.Stale},
		{"wrapped", fmt.Errorf("put: %w", stale), crop.Stale},
		{"among others", errors.Join(errors.New("disk full"), stale), crop.Stale},
	} {
		if got := crop.CodeOf(c.err); got != c.want {
			t.Errorf("%s: code %q, want %q", c.name, got, c.want)
		}
	}
	if stale.Error() != "version 3 is the last" {
		t.Errorf("it says %q", stale.Error())
	}
}

// TestDefaults: what a cultivar and a place stand for where a field was left out.
func TestDefaults(t *testing.T) {
	bare, own := crop.Cultivar{}, crop.Cultivar{ScaleID: &orangeScale, HoldDays: new(2.5)}
	if bare.Scale() != crop.DefaultScaleID || bare.Hold() != 7 || own.Scale() != orangeScale || own.Hold() != 2.5 {
		t.Errorf("scales %s, %s; holds %g, %g; want the default scale and 7 days, then its own", bare.Scale(), own.Scale(), bare.Hold(), own.Hold())
	}
	for _, c := range []struct {
		name  string
		place *crop.Place
		want  string
	}{
		{"no place", nil, "UTC"},
		{"no zone", &crop.Place{}, "UTC"},
		{"a zone unknown here", &crop.Place{TimeZone: "Europe/Atlantis"}, "UTC"},
		{"a zone", &crop.Place{TimeZone: "Asia/Kathmandu"}, "Asia/Kathmandu"},
		{"the same once more", &crop.Place{TimeZone: "Asia/Kathmandu"}, "Asia/Kathmandu"},
	} {
		if got := c.place.Location().String(); got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
	}
}
