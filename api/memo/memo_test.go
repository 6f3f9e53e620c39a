package memo_test

import (
	"context"
	"errors"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"pgregory.net/rapid"

	"vinetally/api/memo"
)

func one(string) int64 { return 1 }

func TestWorkIsShared(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[int, string](10, one)
		var runs atomic.Int32
		work := func(context.Context) (string, error) {
			runs.Add(1)
			time.Sleep(time.Second)
			return "seven", nil
		}
		var all sync.WaitGroup
		for range 50 {
			all.Go(func() {
				if got, err := c.Get(t.Context(), 7, work); got != "seven" || err != nil {
					t.Errorf("got %q, %v", got, err)
				}
			})
		}
		all.Wait()
		if runs.Load() != 1 {
			t.Errorf("worked out %d times for 50 who asked at once", runs.Load())
		}
	})
}

// TestWhoLeavesTakesNothingAlong: who asked first gives up, and who waits still gets the value.
func TestWhoLeavesTakesNothingAlong(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := memo.New[int, string](10, one)
		first, leave := context.WithCancel(t.Context())
		work := func(ctx context.Context) (string, error) {
			time.Sleep(time.Second)
			return "seven", ctx.Err()
		}
		var both sync.WaitGroup
		both.Go(func() {
			if _, err := c.Get(first, 7, work); !errors.Is(err, context.Canceled) {
				t.Errorf("who left got %v", err)
			}
		})
		synctest.Wait()
		both.Go(func() {
			if got, err := c.Get(t.Context(), 7, work); got != "seven" || err != nil {
				t.Errorf("who waited got %q, %v", got, err)
			}
		})
		synctest.Wait()
		leave()
		both.Wait()
	})
}

func TestErrorsAndPanicsAreNotKept(t *testing.T) {
	c := memo.New[int, string](10, one)
	broken := errors.New("broken")
	if _, err := c.Get(t.Context(), 7, func(context.Context) (string, error) { return "half", broken }); !errors.Is(err, broken) {
		t.Errorf("got %v, want the error of the work", err)
	}
	if _, err := c.Get(t.Context(), 7, func(context.Context) (string, error) { panic("a fault") }); err == nil || !strings.Contains(err.Error(), "a fault") {
		t.Errorf("got %v, want the panic as an error", err)
	}
	if got, err := c.Get(t.Context(), 7, func(context.Context) (string, error) { return "seven", nil }); got != "seven" || err != nil {
		t.Errorf("got %q, %v", got, err)
	}
}

// TestAgainstASlowList: it holds just what a list of the values last used would, cut where their sizes add up to the bound.
func TestAgainstASlowList(t *testing.T) {
	const most = 10
	rapid.Check(t, func(t *rapid.T) {
		c := memo.New[int, int](most, func(size int) int64 { return int64(size) })
		sizes := rapid.SliceOfN(rapid.IntRange(0, most+2), 6, 6).Draw(t, "sizes")
		var recent []int // the last used last
		for _, key := range rapid.SliceOf(rapid.IntRange(0, 5)).Draw(t, "asked") {
			at := -1
			for i, k := range recent {
				if k == key {
					at = i
				}
			}
			worked := false
			got, err := c.Get(context.Background(), key, func(context.Context) (int, error) { worked = true; return sizes[key], nil })
			if err != nil || got != sizes[key] || worked != (at < 0) {
				t.Fatalf("key %d of size %d: got %d, %v, worked out %v; last used %v", key, sizes[key], got, err, worked, recent)
			}
			switch {
			case at >= 0:
				recent = append(append(recent[:at:at], recent[at+1:]...), key)
			case sizes[key] <= most:
				recent = append(recent, key)
			}
			for total := 0; ; total = 0 {
				for _, k := range recent {
					total += sizes[k]
				}
				if total <= most {
					break
				}
				recent = recent[1:]
			}
		}
	})
}
