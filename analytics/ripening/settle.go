package ripening

// settle takes what cohorts have less than none from their neighbours of the same stage, half from the older ones and half from the
// younger, so that the stage's number stays. The filter is linear and knows no zero; before chances are put to cohorts it must: less than no
// fruit that ripens would take back what had ripened by the day before.
func (s *state) settle(ripe int) {
	for stage := 0; stage <= ripe; stage++ {
		s.settleStage(stage)
	}
}

// none settles green fruit after a count that saw none of it, and every stage after one that saw no fruit at all: else older fruit than there can be
// would go on and ripen, and be owed among the younger.
func (s *state) none(k *count) {
	bare, green := true, false
	for _, x := range k.seen {
		none := x.stage >= 0 && x.fruits == 0 && x.share == 1 && !x.least
		bare = bare && none
		green = green || none && x.stage == 0
	}
	for _, x := range k.seen {
		if bare || green && x.stage == 0 {
			s.settleStage(x.stage)
		}
	}
}

func (s *state) settleStage(stage int) {
	total := 0.0
	for i := range s.cohorts {
		if x := &s.cohorts[i]; x.stage == stage {
			total += x.mean
		}
	}
	if total <= 0 {
		for i := range s.cohorts {
			if x := &s.cohorts[i]; x.stage == stage {
				x.mean = 0
			}
		}
		return
	}
	// what is owed is halved where it arises and paid in both directions; what is still owed at an end turns round
	owed := make([]float64, len(s.cohorts))
	for i := range s.cohorts {
		if x := &s.cohorts[i]; x.stage == stage && x.mean < 0 {
			owed[i], x.mean = -x.mean/2, 0
		}
	}
	debt := 0.0
	for _, down := range []bool{false, true, false, true} {
		for k := range s.cohorts {
			i := k
			if down {
				i = len(s.cohorts) - 1 - k
			}
			x := &s.cohorts[i]
			if x.stage != stage {
				continue
			}
			debt += owed[i]
			paid := min(debt, x.mean)
			x.mean -= paid
			debt -= paid
		}
		if down {
			clear(owed)
		}
	}
}
