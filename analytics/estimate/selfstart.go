package estimate

import (
	"cmp"
	"math"
	"slices"
)

// gridCell is a pair of nonlinear parameters with the linear ones that fit best there: y ≈ base + rise·shape(x).
type gridCell struct {
	location, scale, base, rise, rss float64
}

// selfStarts reads starting values off the data: for a grid of the two nonlinear parameters it solves for the linear ones
// in closed form and keeps the best location for each scale, best first, at most five. So the starts are data-driven and
// yet differ by factors in the scale.
//
// With fromZero the base is 0 and only rise is fitted.
func selfStarts(d Data, locations, scales []float64, fromZero bool, shape func(x, location, scale float64) float64) []gridCell {
	return searchGrid(d, locations, scales, fromZero, func(scale float64) func(location float64, column []float64) {
		return func(location float64, column []float64) {
			for i, x := range d.X {
				column[i] = shape(x, location, scale)
			}
		}
	})
}

// sigmoidStarts is selfStarts over sigmoidGrid for a shape that is a function of u = exp(−(x − location)/scale). It takes u as a product, so
// that the grid costs an exponential a point and scale, and not one a cell; x counts from the first, which keeps both below e¹⁰⁰.
func sigmoidStarts(d Data, locations, scales []float64, fromZero bool, shape func(u float64) float64) []gridCell {
	first, _, _ := d.span()
	ofX := make([]float64, len(d.X))
	return searchGrid(d, locations, scales, fromZero, func(scale float64) func(location float64, column []float64) {
		for i, x := range d.X {
			ofX[i] = math.Exp((first - x) / scale)
		}
		return func(location float64, column []float64) {
			ofLocation := math.Exp((location - first) / scale)
			for i, u := range ofX {
				column[i] = shape(u * ofLocation)
			}
		}
	})
}

// searchGrid does it, at a scale writing the shape at a location to a column.
func searchGrid(d Data, locations, scales []float64, fromZero bool, at func(scale float64) func(location float64, column []float64)) []gridCell {
	cells := make([]gridCell, 0, len(scales))
	column := make([]float64, len(d.X))
	for _, scale := range scales {
		best := gridCell{rss: math.Inf(1)}
		fill := at(scale)
		for _, location := range locations {
			fill(location, column)
			c := gridCell{location: location, scale: scale}
			c.base, c.rise, c.rss = simpleLine(d, column, fromZero)
			if c.rss < best.rss && c.rise != 0 && allFinite(c.base, c.rise) {
				best = c
			}
		}
		if !math.IsInf(best.rss, 1) {
			cells = append(cells, best)
		}
	}
	slices.SortStableFunc(cells, func(a, b gridCell) int { return cmp.Compare(a.rss, b.rss) })
	return cells[:min(len(cells), 5)]
}

// simpleLine fits y ≈ base + rise·z by weighted least squares; fromZero fixes base at 0. rss is NaN if z does not vary.
func simpleLine(d Data, z []float64, fromZero bool) (base, rise, rss float64) {
	var meanZ, meanY float64
	if !fromZero {
		var sw, sz, sy float64
		for i, y := range d.Y {
			w := d.weight(i)
			sw, sz, sy = sw+w, sz+w*z[i], sy+w*y
		}
		meanZ, meanY = sz/sw, sy/sw
	}
	var szz, szy float64
	for i, y := range d.Y {
		w := d.weight(i)
		szz += w * (z[i] - meanZ) * (z[i] - meanZ)
		szy += w * (z[i] - meanZ) * (y - meanY)
	}
	rise = szy / szz
	base = meanY - rise*meanZ
	for i, y := range d.Y {
		r := y - base - rise*z[i]
		rss += d.weight(i) * r * r
	}
	return base, rise, rss
}

// sigmoidGrid returns locations over the range of x and half as far again on either side, and scales from a fiftieth of
// the range to the whole of it, with the sign of the trend.
func sigmoidGrid(d Data) (locations, scales []float64) {
	lo, hi, _ := d.span()
	width := hi - lo
	for k := -4; k <= 20; k++ {
		locations = append(locations, lo+width*float64(k)/12)
	}
	_, slope, _ := simpleLine(d, d.X, false)
	for _, share := range []float64{0.02, 0.05, 0.1, 0.2, 0.4, 0.8} {
		scales = append(scales, math.Copysign(share*width, slope))
	}
	return locations, scales
}

// The limits of the sigmoid families: far outside what points can tell, so that only a runaway reaches them.
const (
	farAsymptote  = 100 // times the largest |y|
	farLocation   = 20  // widths of the range of x on either side
	smallestScale = 1e-4
	largestScale  = 20 // widths of the range of x
)

// sigmoidLimits is shared by the families with an asymptote, a location and a scale along x.
func sigmoidLimits(d Data, asymptoteName string, asymptote float64, locationName string, location float64, scaleName string, scale float64) []Limit {
	lo, hi, top := d.span()
	width := hi - lo
	return []Limit{
		{Name: asymptoteName, Value: math.Abs(asymptote), Lo: 0, Hi: farAsymptote * top},
		{Name: locationName, Value: location, Lo: lo - farLocation*width, Hi: hi + farLocation*width},
		{Name: scaleName, Value: math.Abs(scale), Lo: smallestScale * width, Hi: largestScale * width},
	}
}
