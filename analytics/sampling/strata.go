package sampling

import "math"

// Stratum is a part of the units that was sampled by itself: a bed, or a cultivar.
type Stratum struct {
	Name string
	Y    []float64 // of the units counted
	N    int       // units in it
}

// Stratified is a total over strata.
type Stratified struct {
	Total           // on the degrees of freedom of the design, Σ(n_h − 1)
	Strata []Simple // in the order given
	// Satterthwaite is the same total on the degrees of freedom of Satterthwaite (Cochran 1977, equation 5.16), which
	// are fewer where strata differ in spread.
	Satterthwaite Total
	Mean, MeanSE  float64
}

// StratifiedTotal adds up the totals of strata; their variances add up too. A stratum with more than one unit needs two counted.
func StratifiedTotal(strata []Stratum) (Stratified, error) {
	var out Stratified
	if len(strata) == 0 {
		return out, refuse("there is no stratum")
	}
	variance, below, units := 0.0, 0.0, 0
	for _, h := range strata {
		s, err := SimpleTotal(h.Y, h.N)
		if err != nil {
			return Stratified{}, refuse("stratum %q: %v", h.Name, err)
		}
		out.Strata = append(out.Strata, s)
		out.Estimate += s.Estimate
		out.DF += s.DF
		v := s.SE * s.SE
		variance += v
		if s.DF > 0 {
			below += v * v / s.DF
		}
		units += h.N
	}
	out.SE = math.Sqrt(variance)
	out.Satterthwaite = out.Total
	if below > 0 {
		out.Satterthwaite.DF = variance * variance / below
	}
	out.Mean, out.MeanSE = out.Estimate/float64(units), out.SE/float64(units)
	return out, nil
}
