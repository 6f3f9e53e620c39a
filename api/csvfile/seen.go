package csvfile

import (
	"hash/maphash"
	"math/bits"
)

// seen remembers which keys and ids the rows of a kind have had so far, in an amount of memory that doesn't grow with the
// file: a Bloom filter (Communications of the ACM 13, 1970, p. 422) whose bits of one entry all lie in one block of 512, so
// that asking costs one access to memory. It never forgets, but it may take something for seen that wasn't: about one in
// 500 after ten million entries. Whoever asks therefore makes sure, see doubts.
type seen struct {
	blocks [][8]uint64
	shift  int
}

const (
	maxSeen = 16 << 20 // bytes
	minSeen = 4 << 10
	// Bits of an entry, each a number of 9 bits of its hash.
	bitsSet = 6
)

var seed = maphash.MakeSeed()

// newSeen makes one for files of a size together, in bytes; 0 is not known. A row has seldom fewer than 30 bytes, so up to
// the limit this is 64 bits and more for each.
func newSeen(size int64) *seen {
	n := int64(maxSeen)
	if size > 0 {
		n = min(max(size/4, minSeen), maxSeen)
	}
	width := bits.Len64(uint64(n-1) / 64) // of the number of a block
	return &seen{blocks: make([][8]uint64, 1<<width), shift: 64 - width}
}

func (s *seen) reset() { clear(s.blocks) }

func (s *seen) add(hash uint64) {
	block := &s.blocks[hash>>s.shift]
	for range bitsSet {
		block[hash>>6&7] |= 1 << (hash & 63)
		hash >>= 9
	}
}

func (s *seen) has(hash uint64) bool {
	block := &s.blocks[hash>>s.shift]
	for range bitsSet {
		if block[hash>>6&7]&(1<<(hash&63)) == 0 {
			return false
		}
		hash >>= 9
	}
	return true
}

// What an entry is of, mixed into its hash.
const (
	keyWithoutID = 0
	keyWithID    = 0x9e3779b97f4a7c15
	ownID        = 0xc2b2ae3d27d4eb4f
)

func hashOf[K comparable](key K, of uint64) uint64 { return mix(maphash.Comparable(seed, key) ^ of) }

// mix spreads a change of any bit over all bits (the finaliser of SplitMix64, Steele, Lea and Flood, OOPSLA 2014).
func mix(h uint64) uint64 {
	h = (h ^ h>>30) * 0xbf58476d1ce4e5b9
	h = (h ^ h>>27) * 0x94d049bb133111eb
	return h ^ h>>31
}
