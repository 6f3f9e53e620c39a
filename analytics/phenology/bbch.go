package phenology

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// Stage is a BBCH growth stage that a plant has reached, and what says so.
type Stage struct {
	Code  int
	Words string
	From  string
}

// BBCH are the growth stages that hold for a plant at once, the furthest last; none where nothing is on record.
//
// 51, 61 and 71 (first inflorescence visible, first flower open, first fruit of its size) are told by the diary's first bud and first
// flower and by the first fruit of a count; which inflorescence or cluster a bud or fruit is of isn't on record, so their later codes
// aren't given. 81 to 89 go by the share of the fruit formed so far that has reached the ripe colour, fruit already picked or lost
// included, as a running maximum: by the fruit that hang alone the code would fall at every picking (our reading of the key). 99 is
// harvested product: the plant is gone and fruit was picked; 97, dead, is given where it is gone and none was.
func BBCH(milestones []Milestone, b *ledger.Book) []Stage {
	var all []Stage
	on := map[Name]*Milestone{}
	for i := range milestones {
		on[milestones[i].Name] = &milestones[i]
	}
	for _, s := range []struct {
		name  Name
		code  int
		words string
	}{
		{Sown, 0, "dry seed, sown"},
		{Emerged, 9, "cotyledons have broken through"},
		{FirstBud, 51, "first inflorescence visible"},
		{FirstFlower, 61, "first flower open"},
		{FirstFruit, 71, "first fruit counted, taken for the first of its size"},
	} {
		if m := on[s.name]; m != nil {
			all = append(all, Stage{s.code, s.words, m.From})
		}
	}
	if share, ok := ripeShare(b); ok && share >= 0.1 {
		code, words := 80+int(share*10+1e-9), fmt.Sprintf("%d %% of the fruit formed so far show the ripe colour", int(100*share+0.5))
		if code >= 89 {
			code = 89
		}
		all = append(all, Stage{code, words, "the counts, with what was picked and lost"})
	}
	if on[Removed] != nil && b.Removed {
		if on[FirstPicked] != nil {
			all = append(all, Stage{99, "harvested product", "the plant's record"})
		} else {
			all = append(all, Stage{97, "plant gone", "the plant's record"})
		}
	}
	return all
}

// ripeShare is the largest share of the fruit formed that had reached ripe at a count that tells both.
func ripeShare(b *ledger.Book) (most float64, ok bool) {
	if b.Ripe < 0 {
		return 0, false
	}
	for i := range b.Visits {
		v := &b.Visits[i]
		set, ripe := v.EverReached[0], v.EverReached[b.Ripe]
		if set == nil || ripe == nil || *set == 0 || v.DoubtedAt(0) || v.DoubtedAt(b.Ripe) {
			continue
		}
		most, ok = max(most, float64(*ripe)/float64(*set)), true
	}
	return min(most, 1), ok
}

// Furthest is the last of a plant's stages, nil of none.
func Furthest(stages []Stage) *Stage {
	if len(stages) == 0 {
		return nil
	}
	return &stages[len(stages)-1]
}

// Principal is the principal growth stage, 0 to 9, of a code.
func Principal(code int) int { return code / 10 }

// DiaryOf are the entries that are of a plant, or of the whole season.
func DiaryOf(t *crop.Trial, plant crop.ID) []crop.DiaryEntry {
	var all []crop.DiaryEntry
	for i := range t.Diary {
		if d := &t.Diary[i]; d.PlantID == nil || *d.PlantID == plant {
			all = append(all, *d)
		}
	}
	return all
}
