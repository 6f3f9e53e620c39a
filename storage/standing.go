package storage

import "vinetally/analytics/crop"

// standing is what batches have loaded, as it stands at one change number of the site, so that the next needn't load it
// again: what records refer to (seasons, places, scales, cultivars and plants), and what was counted, picked and lost of
// plants. Any change of a record adds to that number, whichever program makes it, and the number is read in the transaction
// that relies on it. The records are shared and nobody changes them.
type standing struct {
	change int64
	known  map[link]crop.Record
	events plantEvents
}

// mostStanding is how many records are kept that others refer to, some 10 MB of plants; beyond it they are loaded anew.
const mostStanding = 20_000

// at forgets what doesn't stand at a change number.
func (s *standing) at(change int64) {
	if s.known == nil || s.change != change {
		s.forget()
		s.change = change
	}
}

func (s *standing) forget() {
	s.change, s.known = -1, map[link]crop.Record{}
	s.events.forget()
}

// stands tells whether anything is known to stand at a change number.
func (s *standing) stands() bool { return s.known != nil && s.change >= 0 }

func (s *standing) get(l link) crop.Record {
	if s == nil {
		return nil
	}
	return s.known[l]
}

// keep notes a record that was loaded.
func (s *standing) keep(r crop.Record) {
	if s == nil || referrers[r.RecordKind()] == nil {
		return
	}
	if len(s.known) >= mostStanding {
		clear(s.known)
	}
	s.known[link{r.RecordKind(), r.Identity()}] = r
}

// written goes on to the next change number, after a batch that is still to be committed. The caller forgets everything if
// that fails.
func (s *standing) written(entries []*entry) {
	for _, e := range entries {
		if e.wrote {
			delete(s.known, e.link)
			s.events.written(e)
		}
	}
	s.change++
}

// undone forgets what batches learnt from their own changes in a transaction that failed, which began at a change number.
func (s *standing) undone(began int64) {
	if s.change != began {
		s.forget()
	}
}
