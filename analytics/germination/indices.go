package germination

import (
	"math"
	"slices"
)

// Count is how many newly came up by a time, in days from sowing.
type Count struct {
	Time float64
	New  float64
}

// Indices describe the counts of one lot. A nil is not defined for these counts: of nothing that came up, or, of spreads,
// of a single seedling.
type Indices struct {
	FinalPercent        float64  // 100·G/N, of N seeds G came up
	FirstTime, LastTime *float64 // of the first and last count with a new seedling
	MeanTime            *float64 // t̄ = Σ n·t/G
	Variance            *float64 // Σ n·(t − t̄)²/(G − 1)
	MeanTimeSE          *float64 // √(variance/G)
	CV                  *float64 // √variance/t̄
	MeanRate            *float64 // 1/t̄
	RateVariance        *float64 // variance/t̄⁴
	RateSE              *float64
	Velocity            *float64 // 100·G/Σ n·t (Kotowski 1926)
	// T50Coolbear interpolates to (G+1)/2 seedlings (Coolbear, Francis and Grierson 1984), T10, T50 and T90 to a tenth, half and nine
	// tenths of G (Farooq and others 2005), on the line from the last count below the mark to the first above it. T10 and T90
	// are nil where a count hits the mark; all are where the first count is above it.
	T50Coolbear, T10, T50, T90 *float64
	Maguire                    float64  // Σ n/t (Maguire 1962)
	Bradbeer                   float64  // Σ (running total)/t (Bradbeer 1988)
	Melville                   float64  // Σ n·(T − t)/N, T the last count (Melville and others 1980)
	SantanaRanal               *float64 // Σ n·(T − t)/G
	Timson                     float64  // Σ of the running percentages (Timson 1965)
	KhanUngar                  float64  // Timson/T (Khan and Ungar 1984)
	Labouriau                  *float64 // Σ running totals/G
	Uniformity                 *float64 // G/Σ n·(t − t̄)² (Bewley and Black 1994)
	Uncertainty                *float64 // −Σ f·log₂ f of the shares f of the counts, bits
	Synchrony                  *float64 // Σ C(n,2)/C(G,2)
}

// Of works out the indices of counts in the order of time, of so many seeds. Times are above 0: nothing comes up on the day of
// sowing, and a count then is passed over.
func Of(counts []Count, seeds int) Indices {
	var x Indices
	counts = slices.DeleteFunc(slices.Clone(counts), func(c Count) bool { return c.Time <= 0 })
	total, weighted := 0.0, 0.0
	end := 0.0
	for _, c := range counts {
		end = c.Time
		total += c.New
		weighted += c.New * c.Time
		x.Bradbeer += total / c.Time
		x.Timson += 100 * total / float64(seeds)
		if c.New > 0 {
			x.Maguire += c.New / c.Time
			if x.FirstTime == nil {
				x.FirstTime = new(c.Time)
			}
			x.LastTime = new(c.Time)
		}
	}
	if len(counts) > 0 {
		x.KhanUngar = x.Timson / end
	}
	x.FinalPercent = 100 * total / float64(seeds)
	left := end*total - weighted
	x.Melville = left / float64(seeds)
	if total == 0 {
		return x
	}
	x.SantanaRanal = new(left / total)
	x.Labouriau = new(x.Timson / x.FinalPercent)
	x.moments(counts, total, weighted)
	x.T50Coolbear = mark(counts, (total+1)/2, false)
	x.T50 = mark(counts, total/2, false)
	x.T10, x.T90 = mark(counts, total/10, true), mark(counts, total*9/10, true)
	return x
}

func (x *Indices) moments(counts []Count, total, weighted float64) {
	mean := weighted / total
	x.MeanTime, x.MeanRate, x.Velocity = &mean, new(1/mean), new(100/mean)
	squares, bits, pairs := 0.0, 0.0, 0.0
	for _, c := range counts {
		squares += c.New * (c.Time - mean) * (c.Time - mean)
		if f := c.New / total; f > 0 {
			bits -= f * math.Log2(f)
		}
		pairs += c.New * (c.New - 1) / 2
	}
	x.Uncertainty = &bits
	if total < 2 {
		return
	}
	variance := squares / (total - 1)
	x.Variance, x.MeanTimeSE, x.CV = &variance, new(math.Sqrt(variance/total)), new(math.Sqrt(variance)/mean)
	rate := variance / math.Pow(mean, 4)
	x.RateVariance, x.RateSE = &rate, new(math.Sqrt(rate/total))
	x.Synchrony = new(pairs / (total * (total - 1) / 2))
	if squares > 0 {
		x.Uniformity = new(total / squares)
	}
}

// mark interpolates the time of a running total. strict gives none where a count hits it.
func mark(counts []Count, want float64, strict bool) *float64 {
	total := 0.0
	var below *Count
	at := 0.0 // running total of below
	for i := range counts {
		c := &counts[i]
		total += c.New
		switch {
		case total < want:
			below, at = c, total
		case total == want && strict:
			return nil
		case total > want:
			if below == nil {
				return nil
			}
			return new(below.Time + (want-at)*(c.Time-below.Time)/(total-at))
		}
	}
	return nil
}
