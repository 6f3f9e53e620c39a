package phenology

import (
	"fmt"

	"vinetally/analytics/crop"
	"vinetally/analytics/ledger"
)

// Name names a milestone.
type Name string

// The milestones, in the order of a plant's life.
const (
	Sown         Name = "sown"
	Emerged      Name = "emerged"
	Transplanted Name = "transplanted"
	FirstBud     Name = "first bud"
	FirstFlower  Name = "first flower"
	FirstFruit   Name = "first fruit"
	FirstColour  Name = "first colour"
	FirstRipe    Name = "first ripe"
	FirstPicked  Name = "first picked"
	LastPicked   Name = "last picked"
	Removed      Name = "removed"
)

// Milestone is when something first was so.
type Milestone struct {
	Name Name
	On   crop.Date // the day on which it was first seen or noted
	// After is the last day on which it was seen not to be so; nil where nobody looked before, and where the day itself was noted.
	After *crop.Date
	// From is what tells it: the plant's record, the diary, a count, a picking or a loss.
	From string
}

// Milestones are those of a plant that its records tell, in the order of a plant's life, and what is wrong with them. diary is that of the
// plant and of the season as a whole.
func Milestones(r crop.PlantRecords, b *ledger.Book, diary []crop.DiaryEntry) (all []Milestone, warnings []string) {
	p := r.Plant
	known := map[Name]Milestone{}
	put := func(n Name, on crop.Date, from string) {
		if had, ok := known[n]; !ok || on.Before(had.On) {
			known[n] = Milestone{Name: n, On: on, From: from}
		}
	}
	for i := range diary {
		d := &diary[i]
		if d.PlantID != nil && *d.PlantID != p.ID {
			continue
		}
		switch n := Name(d.Kind); n {
		case Sown, Emerged, Transplanted:
			if d.PlantID != nil { // of the whole season it may be of other plants
				put(n, d.NotedAt.LocalDate(), "the diary")
			}
		case FirstBud, FirstFlower, FirstFruit:
			if d.PlantID != nil {
				put(n, d.NotedAt.LocalDate(), "the diary")
			}
		}
	}
	for n, day := range map[Name]*crop.Date{Sown: p.SownOn, Transplanted: p.TransplantedOn, Removed: p.RemovedOn} {
		if day != nil {
			known[n] = Milestone{Name: n, On: *day, From: "the plant's record"}
		}
	}
	for n, stage := range map[Name]int{FirstFruit: 0, FirstColour: 1, FirstRipe: b.Ripe} {
		if m, ok := reached(b, stage); ok && stage >= 0 {
			m.Name = n
			if had, noted := known[n]; !noted || m.On.Before(had.On) {
				known[n] = m
			}
		}
	}
	for i := range r.Pickings {
		day := r.Pickings[i].PickedAt.LocalDate()
		put(FirstPicked, day, "a picking")
		if last, ok := known[LastPicked]; !ok || day.After(last.On) {
			known[LastPicked] = Milestone{Name: LastPicked, On: day, From: "a picking"}
		}
	}
	var before *Milestone
	for _, n := range []Name{Sown, Emerged, Transplanted, FirstBud, FirstFlower, FirstFruit, FirstColour, FirstRipe, FirstPicked, LastPicked, Removed} {
		m, ok := known[n]
		if !ok {
			continue
		}
		if before != nil && m.On.Before(before.On) && n != FirstPicked { // fruit may be picked before any is ripe
			warnings = append(warnings, fmt.Sprintf("%s on %s (%s) is before %s on %s (%s); one of the two days is wrong.",
				capital(n), m.On.Words(), m.From, before.Name, before.On.Words(), before.From))
		}
		all = append(all, m)
		if n != Transplanted && n != FirstPicked && n != LastPicked { // seedlings are transplanted early or late
			before = &all[len(all)-1]
		}
	}
	return all, warnings
}

func capital(n Name) string { return string(n[0]-'a'+'A') + string(n[1:]) }

// reached is the first day on which fruit is known to have been at a stage or beyond, and the last before it on which none was. A
// fruit picked or lost at the stage had reached it.
func reached(b *ledger.Book, stage int) (m Milestone, ok bool) {
	if stage < 0 || stage >= len(b.Scale) {
		return m, false
	}
	for i := range b.Visits {
		v := &b.Visits[i]
		day := v.CountedAt.LocalDate()
		if v.EverReachedAtLeast[stage] > 0 {
			m.On, m.From, ok = day, "a count", true
			break
		}
		if v.EverReached[stage] != nil {
			m.After = &day
		}
	}
	for i := range b.Removals {
		r := &b.Removals[i]
		if !r.Sure || r.Stage < stage || r.Counted && r.Fruits == 0 {
			continue
		}
		if day := r.At.LocalDate(); !ok || day.Before(m.On) {
			m.On, m.From, ok = day, "a loss", true
			if r.Picked {
				m.From = "a picking"
			}
		}
	}
	if m.After != nil && !m.After.Before(m.On) {
		m.After = nil
	}
	return m, ok
}
