package demotrial

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"strings"
)

// masterSeed fixes the whole trial. Another value gives another trial.
const masterSeed = 20261026

// dice is one stream of chance. It uses nothing but the generator's Uint64, so
// that the records rest on the published algorithm alone.
type dice struct{ source *rand.PCG }

// rng is the same stream as the simulator of fruit takes it, which asks for
// Float64 alone: 53 bits of one Uint64.
func (d *dice) rng() *rand.Rand { return rand.New(d.source) }

// newDice returns the stream that belongs to the named decision.
func newDice(names ...string) *dice {
	h := fnv.New64a()
	h.Write([]byte(strings.Join(names, "\x1f")))
	return &dice{source: rand.NewPCG(masterSeed, h.Sum64())}
}

// uniform returns a number in [0, 1) with 53 random bits.
func (d *dice) uniform() float64 { return float64(d.source.Uint64()>>11) / (1 << 53) }

// between returns a number in [low, high).
func (d *dice) between(low, high float64) float64 { return low + (high-low)*d.uniform() }

// chance reports true with probability p.
func (d *dice) chance(p float64) bool { return d.uniform() < p }

// below returns a whole number in 0 … n-1.
func (d *dice) below(n int) int { return int(d.uniform() * float64(n)) }

// normal returns a standard normal deviate (Box and Muller 1958).
func (d *dice) normal() float64 {
	radius := math.Sqrt(-2 * math.Log(1-d.uniform()))
	return radius * math.Cos(2*math.Pi*d.uniform())
}

// pick returns one of the choices, each as likely as any other.
func pick[T any](d *dice, choices []T) T { return choices[d.below(len(choices))] }
