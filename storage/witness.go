package storage

import (
	"sync"

	"vinetally/analytics/crop"
)

// watching lets a witness look at a batch while it is committed.
type watching struct {
	by    crop.Witness
	busy  sync.WaitGroup
	panic any
}

// see reads the evidence in the batch's transaction, so that it holds what was just written, and sets the witness to work.
func (w *watching) see(b *batch, written []crop.Outcome) {
	if w.by == nil {
		return
	}
	w.busy.Wait() // with the attempt before, if this is the second
	plants := w.by.Plants(written)
	if len(plants) == 0 {
		return
	}
	evidence := make([]*crop.Trial, len(plants))
	var err error
	for i, plant := range plants {
		if evidence[i], err = evidenceOf(b.ctx, b.q, b.refs, plant); err != nil {
			evidence = nil
			break
		}
	}
	w.busy.Go(func() {
		defer func() { w.panic = recover() }()
		for _, t := range evidence {
			t.Arrange()
		}
		w.by.Consider(written, evidence, err)
	})
}

// wait waits until the witness is done. A panic of its comes out here, where the caller may be ready for it.
func (w *watching) wait() {
	w.busy.Wait()
	if w.panic != nil {
		panic(w.panic)
	}
}
