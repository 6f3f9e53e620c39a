package curve

import (
	"sync/atomic"
	"testing"
)

func TestInParallelCallsEachOnce(t *testing.T) {
	for _, n := range []int{0, 1, 2, 1000} {
		calls := make([]atomic.Int32, n)
		inParallel(n, func(i int) { calls[i].Add(1) })
		for i := range calls {
			if got := calls[i].Load(); got != 1 {
				t.Errorf("n = %d: called with %d %d times", n, i, got)
			}
		}
	}
}

func TestInParallelPassesAPanicOn(t *testing.T) {
	defer func() {
		if got := recover(); got != "broken" {
			t.Errorf("the caller saw %v", got)
		}
	}()
	inParallel(100, func(i int) {
		if i == 42 {
			panic("broken")
		}
	})
	t.Error("nothing was told")
}
