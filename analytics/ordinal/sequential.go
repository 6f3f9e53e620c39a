package ordinal

import "vinetally/analytics/glm"

// Sequential is a fitted sequential model of one covariate: a fruit that has come to stage j stays there with probability
//
//	P(Y = j | Y ≥ j) = F(b0_j + b1_j·x).
//
// Its stages are independent binomial regressions, one for each stage but the last.
type Sequential struct {
	Stages []string // all but the last
	Steps  []*glm.Fit
}

// Stopping fits the sequential model.
func Stopping(d Data, link glm.Link) (*Sequential, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	if len(d.Stages) < 2 {
		return nil, refuse("there must be two stages or more")
	}
	s := &Sequential{Stages: d.Stages[:len(d.Stages)-1]}
	for j, name := range s.Stages {
		var at glm.Data
		for i, row := range d.Counts {
			come := total(row[j:])
			if come == 0 {
				continue
			}
			at.X = append(at.X, append([]float64{1}, d.X[i]...))
			at.Y, at.Trials = append(at.Y, row[j]), append(at.Trials, come)
		}
		f, err := glm.Regress(at, link)
		if err != nil {
			return nil, refuse("stage %s: %v", name, err)
		}
		s.Steps = append(s.Steps, f)
	}
	return s, nil
}
