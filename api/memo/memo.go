// Package memo keeps what took long to work out, up to a total size, and works each value out once however many ask for it at a time.
package memo

import (
	"container/list"
	"context"
	"errors"
	"fmt"
	"sync"
)

// Cache keeps values by key. The least recently used go first once the sizes add up to more than Most; a value that is larger than Most
// isn't kept. Values must not be changed by whoever gets them.
type Cache[K comparable, V any] struct {
	most int64
	size func(V) int64

	mu     sync.Mutex
	total  int64
	recent *list.List // of *entry[K, V], the last used first
	known  map[K]*list.Element
	coming map[K]*call[V]
}

type entry[K comparable, V any] struct {
	key   K
	value V
	size  int64
}

// call is a value that is being worked out; done is closed when it is there.
type call[V any] struct {
	done  chan struct{}
	value V
	err   error
}

// New makes an empty cache; size is in the unit of most.
func New[K comparable, V any](most int64, size func(V) int64) *Cache[K, V] {
	return &Cache[K, V]{most: most, size: size, recent: list.New(), known: map[K]*list.Element{}, coming: map[K]*call[V]{}}
}

// Get returns the value of a key, and works it out if it isn't known. Who asks while that is under way waits for it, or until the context
// ends. The work doesn't end with the context of whoever asked first, since others may wait for it. An error is told to all who wait and
// isn't kept.
func (c *Cache[K, V]) Get(ctx context.Context, key K, work func(context.Context) (V, error)) (V, error) {
	c.mu.Lock()
	if e, ok := c.known[key]; ok {
		c.recent.MoveToFront(e)
		c.mu.Unlock()
		return e.Value.(*entry[K, V]).value, nil
	}
	one, ok := c.coming[key]
	if !ok {
		one = &call[V]{done: make(chan struct{})}
		c.coming[key] = one
		go c.work(context.WithoutCancel(ctx), key, one, work)
	}
	c.mu.Unlock()
	select {
	case <-one.done:
		return one.value, one.err
	case <-ctx.Done():
		var none V
		return none, ctx.Err()
	}
}

var errPanicked = errors.New("memo: the work panicked")

func (c *Cache[K, V]) work(ctx context.Context, key K, one *call[V], work func(context.Context) (V, error)) {
	defer func() {
		// A fault of the work must not take the program with it: whoever asked gets it as an error.
		if r := recover(); r != nil {
			one.err = fmt.Errorf("%w: %v", errPanicked, r)
		}
		c.mu.Lock()
		delete(c.coming, key)
		if one.err == nil {
			c.keep(key, one.value)
		}
		c.mu.Unlock()
		close(one.done)
	}()
	one.value, one.err = work(ctx)
}

// keep adds a value and drops others for it.
func (c *Cache[K, V]) keep(key K, value V) {
	size := c.size(value)
	if size > c.most {
		return
	}
	c.known[key] = c.recent.PushFront(&entry[K, V]{key, value, size})
	c.total += size
	for c.total > c.most {
		last := c.recent.Back()
		e := last.Value.(*entry[K, V])
		c.recent.Remove(last)
		delete(c.known, e.key)
		c.total -= e.size
	}
}
