package storage

import (
	"sync"

	"vinetally/analytics/crop"
)

// kept holds the packed counts of the seasons that were loaded last, so that a report and its charts fetch them once. They hold
// as long as the site's change number is the one that they were read at, and they are texts, which every load unpacks anew:
// nobody gets anything that another has, or could change what is kept.
type kept struct {
	mu      sync.Mutex
	seasons []keptSeason // the one used last comes last
}

type keptSeason struct {
	id     crop.ID
	change int64
	shares sharedPacks
	size   int
}

// sharedPacks are the packed counts of each share of a season's plants.
type sharedPacks [len(shares)][]packed

// mostKept is how many bytes of packed counts are kept in all: about 600,000 counts.
const mostKept = 64 << 20

// get returns what is kept of a season, if it is of this change number.
func (k *kept) get(season crop.ID, change int64) (packs sharedPacks, ok bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	found, ok := k.remove(season)
	if !ok || found.change != change {
		return packs, false // what is of an older state is of no use any more
	}
	k.seasons = append(k.seasons, found)
	return found.shares, true
}

// put keeps a season, and lets go of those that were used longest ago if they are too many. One that is too large isn't kept.
func (k *kept) put(season crop.ID, change int64, packs sharedPacks) {
	size := 0
	for _, share := range packs {
		size += sizeOf(share)
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	k.remove(season)
	if size > mostKept {
		return
	}
	k.seasons = append(k.seasons, keptSeason{season, change, packs, size})
	total := 0
	for _, s := range k.seasons {
		total += s.size
	}
	for total > mostKept {
		total -= k.seasons[0].size
		k.seasons = append([]keptSeason(nil), k.seasons[1:]...)
	}
}

func (k *kept) remove(season crop.ID) (found keptSeason, ok bool) {
	for i, s := range k.seasons {
		if s.id == season {
			k.seasons = append(k.seasons[:i:i], k.seasons[i+1:]...)
			return s, true
		}
	}
	return found, false
}

// sizeOf is roughly what packed counts take in memory.
func sizeOf(packs []packed) int {
	size := 0
	for i := range packs {
		p := &packs[i]
		size += 128 + len(p.ids) + len(p.times) + len(p.counts) + len(p.observers) + len(p.notes) + len(p.seldom)
	}
	return size
}
