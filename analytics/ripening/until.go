package ripening

// Shares are the shares of the fruit to come of which Outlook.Until tells by when they are ripe.
var Shares = [...]float64{0.5, 0.9}

// Until is by when a share s of the fruit that has set and becomes ripe on the plant is ripe. Of that fruit, R are ripe by a day and N in the end.
type Until struct {
	Share float64
	// Day is when R is expected to be s·N: 0 if that is later than laterDays or nothing is to come.
	Day float64
	// Variance is that of R − s·N on that day given the parameters, Unsure what the parameters add to it.
	Variance, Unsure float64
	// Weather is the relative standard deviation of what the clocks count up to that day.
	Weather float64
}

// weekly is the time to come, the ends of its steps in days, and how many fruit are expected to be ripe by each.
type weekly struct {
	to         *ahead
	ends, ripe []float64
}

// ends are the ends of the steps, days.
func (a *ahead) ends() []float64 {
	ends := make([]float64, len(a.steps))
	at := 0.0
	for k := range a.steps {
		at += a.steps[k].days
		ends[k] = at
	}
	return ends
}

// until fills in o.Until and o.Ripening from the chances of cohorts to be ripe by the end of each step. It gives how many fruit are expected to be ripe by then.
func (o *Outlook) until(s *state, pi [][]float64, ends []float64, w *Weather) (ripe []float64) {
	ripe = make([]float64, len(ends))
	last := len(ends) - 1
	for i := range s.cohorts {
		for k, p := range pi[i] {
			ripe[k] += s.cohorts[i].mean * p
		}
	}
	o.Ripening = o.Later[laterDays-1] + ripe[last] - valueAt(ripe, ends, laterDays)
	for u, share := range Shares {
		x := &o.Until[u]
		*x = Until{Share: share, Day: dayOf(o.Later, share*o.Ripening)}
		if x.Day == 0 {
			continue
		}
		x.Weather = w.Spread[min(int(x.Day), len(w.Spread)-1)]
		// R − s·N counts a fruit 1 − s if it is ripe by the day and −s if it is later, so a on average.
		a := make([]float64, len(pi))
		for i := range pi {
			p, ever := valueAt(pi[i], ends, x.Day), pi[i][last]
			a[i] = p - share*ever
			x.Variance += max(s.cohorts[i].mean, 0) * (p*(1-2*share) + share*share*ever - a[i]*a[i])
		}
		x.Variance = max(0, x.Variance+s.form(a))
	}
	return ripe
}

// form is a'Pa.
func (s *state) form(a []float64) float64 {
	v := 0.0
	for i := range a {
		if a[i] == 0 {
			continue
		}
		sum := 0.0
		for j, p := range s.row(i) {
			sum += p * a[j]
		}
		v += a[i] * sum
	}
	return v
}

// unsureUntil adds what the parameters leave open, from the derivatives with respect to them, the plant's effect last.
func (k *outlooker) unsureUntil(o *Outlook, f *fit, by [][]float64, ends []float64) {
	i, own := o.Plant.index, len(by)-1
	g := make([]float64, len(by))
	for u := range o.Until {
		x := &o.Until[u]
		if x.Day == 0 {
			continue
		}
		for j := range by {
			g[j] = valueAt(by[j], ends, x.Day) - x.Share*by[j][len(ends)-1]
		}
		for j := range own {
			g[j] -= g[own] * f.slope[i][j]
		}
		x.Unsure = f.quadratic(g[:own]) + g[own]*g[own]*f.variance[i]
	}
}

// valueAt is a number on a day, straight between the ends of steps and from none at the beginning.
func valueAt(by, ends []float64, day float64) float64 {
	before, value := 0.0, 0.0
	for k, end := range ends {
		if day <= end {
			return value + (by[k]-value)*(day-before)/(end-before)
		}
		before, value = end, by[k]
	}
	return value
}

// dayOf is the day on which a number that grows by the end of each day reaches n, 0 if it doesn't.
func dayOf(by []float64, n float64) float64 {
	before := 0.0
	for d, x := range by {
		if x >= n && n > 0 {
			return float64(d) + (n-before)/(x-before)
		}
		before = x
	}
	return 0
}

// DaysBetween is how many days lie between those on which two shares of the fruit to come are expected to be ripe, the later one at laterDays at most.
func (o *Outlook) DaysBetween(share, later float64) float64 {
	end := dayOf(o.Later, later*o.Ripening)
	if end == 0 {
		end = laterDays
	}
	return end - dayOf(o.Later, share*o.Ripening)
}
