package storage

import (
	"strings"
	"testing"
	"time"

	"vinetally/analytics/crop"
)

// TestOvertaken: a session whose outcome others' changes could have altered begins again, and one that they couldn't doesn't.
func TestOvertaken(t *testing.T) {
	for _, c := range []struct {
		name  string
		calls int
		// meanwhile is what others do during the first call.
		meanwhile func(t *testing.T, s *Site, tr *trial, mine []*crop.Visit, stored []*crop.Visit)
	}{
		{"nothing", 1, func(*testing.T, *Site, *trial, []*crop.Visit, []*crop.Visit) {}},
		{"a count of another time", 1, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: mine[0].PlantID, CountedAt: crop.InstantMoment(mine[0].CountedAt.At.Add(time.Second)), Counts: map[string]int{"red": 1}}}})
		}},
		{"a picking of the time of a count", 1, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Picking{ID: s.NewID(), PlantID: &mine[0].PlantID, PickedAt: mine[0].CountedAt, Fruits: new(1)}}})
		}},
		{"a count of the time of one that is added", 2, func(t *testing.T, s *Site, tr *trial, mine, _ []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: mine[0].PlantID, CountedAt: mine[0].CountedAt, Counts: map[string]int{"red": 1}}}})
		}},
		{"a count of the time of one that was looked at", 2, func(t *testing.T, s *Site, tr *trial, _, stored []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: stored[0].PlantID, CountedAt: stored[0].CountedAt, Counts: map[string]int{"red": 1}}}})
		}},
		{"the count that was looked at, edited", 2, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			v := *stored[0]
			v.Note = "by hand"
			mustApply(t, s, []crop.Change{{Record: &v}})
		}},
		{"the count that was looked at, deleted", 2, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			mustApply(t, s, []crop.Change{{Record: stored[0], Delete: true}})
		}},
		{"another count, edited", 1, func(t *testing.T, s *Site, _ *trial, _, stored []*crop.Visit) {
			v := *stored[1]
			v.Note = "by hand"
			mustApply(t, s, []crop.Change{{Record: &v}})
		}},
		{"the zone of the place", 2, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			p := *tr.place
			p.TimeZone = "Asia/Tokyo"
			mustApply(t, s, []crop.Change{{Record: &p}})
		}},
		{"another plant", 1, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			p := *tr.plants[0]
			p.ID, p.Label = s.NewID(), "another"
			mustApply(t, s, []crop.Change{{Record: &p}})
		}},
		{"a season of the name of one that is added", 2, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) {
			mustApply(t, s, named(s, "summer"))
		}},
		{"another season", 1, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) { mustApply(t, s, named(s, "autumn")) }},
		{"more than is noted", 2, func(t *testing.T, s *Site, tr *trial, _, _ []*crop.Visit) {
			var many []crop.Change
			for i := range mostNoted + 1 {
				many = append(many, crop.Change{Record: &crop.Visit{ID: s.NewID(), PlantID: tr.plants[1].ID,
					CountedAt: crop.InstantMoment(testNow.Add(-time.Duration(i) * time.Minute)), Counts: map[string]int{"red": 1}}})
			}
			mustApply(t, s, many)
		}},
		{"what wasn't noted", 2, func(t *testing.T, s *Site, _ *trial, _, _ []*crop.Visit) { // as a program does that knows no notes
			if _, err := s.db.pools[0].Exec("UPDATE sites SET change = change + 1, digest = digest + 1"); err != nil {
				t.Fatal(err)
			}
		}},
		{"another session", 2, func(t *testing.T, s *Site, tr *trial, _, stored []*crop.Visit) {
			err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
				return ses.Add(t.Context(), crop.Visits, []crop.Record{&crop.Visit{ID: s.NewID(), PlantID: tr.plants[1].ID, CountedAt: crop.InstantMoment(testNow), Counts: map[string]int{"red": 1}}})
			})
			if err != nil {
				t.Fatal(err)
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, other := openBoth(t, time.Second)
			tr := newTrial(s, "spring", 2)
			mustApply(t, s, tr.base())
			all := tr.visits(s, 4)
			mustApply(t, s, all[:4])
			visits := make([]*crop.Visit, len(all))
			for i := range all {
				visits[i] = all[i].Record.(*crop.Visit)
			}
			stored, mine := visits[:4], visits[4:]
			calls := 0
			err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
				calls++
				like := *stored[0]
				like.ID = crop.ID{}
				if _, err := ses.Alike(t.Context(), crop.Visits, []crop.Record{&like}, nil, nil); err != nil {
					return err
				}
				if err := ses.Add(t.Context(), crop.Visits, []crop.Record{mine[0], mine[1]}); err != nil {
					return err
				}
				if !strings.HasPrefix(c.name, "a season") || calls == 1 {
					if err := ses.Apply(t.Context(), named(s, "summer")); err != nil {
						return err
					}
				}
				if calls == 1 {
					c.meanwhile(t, other, tr, mine, stored)
				}
				return nil
			})
			if err != nil || calls != c.calls {
				t.Errorf("%v after %d calls, want %d", err, calls, c.calls)
			}
			for _, v := range mine[:2] {
				if _, err := s.Get(t.Context(), crop.Visits, v.ID); err != nil {
					t.Error(err)
				}
			}
			wantForgotten(t, s)
			if c.name != "what wasn't noted" {
				wantSoundSite(t, s)
			}
		})
	}
}

// An edit of what others refer to rests on all that refers to it: a count that was added meanwhile must fit the plant's new first day.
func TestOvertakenEdit(t *testing.T) {
	s, other := openBoth(t, time.Second)
	tr := newTrial(s, "spring", 1)
	mustApply(t, s, tr.base())
	calls := 0
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		calls++
		p := *tr.plants[0]
		p.SownOn = &crop.Date{Year: 2026, Month: 2, Day: 1}
		err := ses.Apply(t.Context(), []crop.Change{{Record: &p}})
		if calls == 1 {
			mustApply(t, other, []crop.Change{{Record: &crop.Visit{ID: s.NewID(), PlantID: p.ID, Counts: map[string]int{"green": 1},
				CountedAt: crop.InstantMoment(time.Date(2026, 1, 10, 8, 0, 0, 0, time.UTC))}}})
		}
		return err
	})
	if calls != 2 || crop.CodeOf(err) != crop.Conflict {
		t.Errorf("%v after %d calls, want a conflict after two", err, calls)
	}
	if got, err := s.Get(t.Context(), crop.Plants, tr.plants[0].ID); err != nil || got.Version != 1 {
		t.Errorf("the plant is at version %d, %v; want it as it was", got.Version, err)
	}
	wantForgotten(t, s)
}

// A session that is overtaken time and again has the lock in the end.
func TestOvertakenAlways(t *testing.T) {
	s, other := openBoth(t, 50*time.Millisecond)
	spring := crop.Season{ID: s.NewID(), Name: "spring"}
	mustApply(t, s, []crop.Change{{Record: &spring}})
	calls := 0
	var refused error
	err := s.Session(t.Context(), crop.ApplyOptions{}, func(ses *Session) error {
		calls++
		if err := ses.Apply(t.Context(), named(s, "mine")); err != nil {
			return err
		}
		spring.Name += "!"
		_, refused = other.Apply(t.Context(), []crop.Change{{Record: &spring}}, crop.ApplyOptions{})
		return nil
	})
	if err != nil || calls != freeTries+1 || crop.CodeOf(refused) != crop.Busy {
		t.Errorf("%v after %d calls, the last time others got %v; want %d calls, and others busy", err, calls, refused, freeTries+1)
	}
	c, err := other.Catalogue(t.Context())
	if err != nil || len(c.Seasons) != 2 || c.Seasons[1].Name != "spring!!!" {
		t.Errorf("seasons %+v, %v", c.Seasons, err)
	}
	wantForgotten(t, s)
}
