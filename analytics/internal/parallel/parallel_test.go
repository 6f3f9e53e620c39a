package parallel_test

import (
	"runtime"
	"sync/atomic"
	"testing"

	"vinetally/analytics/internal/parallel"
)

func TestCallsEachOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		calls := make([]atomic.Int32, n)
		parallel.Each(n, func(i int) { calls[i].Add(1) })
		for i := range calls {
			if got := calls[i].Load(); got != 1 {
				t.Errorf("n = %d: called with %d %d times", n, i, got)
			}
		}
	}
}

func TestPassesAPanicOn(t *testing.T) {
	defer func() {
		if got := recover(); got != "broken" {
			t.Errorf("the caller saw %v", got)
		}
	}()
	parallel.Each(100, func(i int) {
		if i == 42 {
			panic("broken")
		}
	})
	t.Error("nothing was told")
}

// TestWith: each goroutine has a function of its own, and together they are called with each number once.
func TestWith(t *testing.T) {
	const n = 1000
	var workers, calls, clashes atomic.Int32
	parallel.With(n, func() func(int) {
		workers.Add(1)
		var busy atomic.Bool
		return func(int) {
			if !busy.CompareAndSwap(false, true) {
				clashes.Add(1)
			}
			runtime.Gosched()
			busy.Store(false)
			calls.Add(1)
		}
	})
	if w := int(workers.Load()); w < 1 || w > runtime.GOMAXPROCS(0) || calls.Load() != n || clashes.Load() != 0 {
		t.Errorf("%d workers, %d calls, %d of them while the same function was busy", w, calls.Load(), clashes.Load())
	}
}
