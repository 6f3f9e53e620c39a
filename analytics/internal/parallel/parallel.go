// Package parallel spreads independent work over all processors.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls f with every i below n on all processors, and returns when all are done. A panic of f is the caller's,
// so that it ends a request and not the program.
func Each(n int, f func(i int)) {
	With(n, func() func(int) { return f })
}

// With is Each with a function for each goroutine, which worker makes: what that keeps between calls no other goroutine touches.
func With(n int, worker func() func(i int)) {
	var next atomic.Int64
	var failed atomic.Pointer[any]
	work := func() {
		defer func() {
			if what := recover(); what != nil {
				failed.CompareAndSwap(nil, &what)
			}
		}()
		f := worker()
		for i := next.Add(1) - 1; i < int64(n) && failed.Load() == nil; i = next.Add(1) - 1 {
			f(int(i))
		}
	}
	var all sync.WaitGroup
	for range min(n, runtime.GOMAXPROCS(0)) {
		all.Go(work)
	}
	all.Wait()
	if what := failed.Load(); what != nil {
		panic(*what)
	}
}
