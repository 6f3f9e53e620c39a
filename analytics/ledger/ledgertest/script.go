// Package ledgertest reads one plant's records from a short text script, so that a test's input and what is expected of
// it stand in one readable file. It serves tests only.
//
// A line is one record; # begins a comment. Times are RFC 3339 or a day alone.
//
//	scale green breaker turning red            stages; "ripe=red" may follow, else the last is ripe
//	plant A1 removed=2026-03-01
//	zone Europe/Lisbon                         where the plant stands; UTC if left out
//	count 2026-02-01 green=12 red=2 total=20 trusses=2/5 truss=1 at_least about
//	pick 2026-02-03 red 4 cull before_count    ? for fruit that was weighed and not counted
//	loss 2026-02-03 red 1 dropped before_count
//	unit pick 2026-02-03 red 4                 of the unit, the plant isn't known
//	expect …                                   handed back as it is
package ledgertest

import (
	"bufio"
	"fmt"
	"strconv"
	"strings"
	"time"

	"vinetally/analytics/crop"
)

// Script is what one file holds.
type Script struct {
	Records crop.PlantRecords
	Expect  []Line
}

// Line is one expectation: its words and where it stands.
type Line struct {
	Number int
	Words  []string
}

type parser struct {
	script *Script
	loc    *time.Location
	ids    byte
}

// Parse reads a script.
func Parse(text string) (*Script, error) {
	scale := crop.DefaultScale()
	s := &Script{Records: crop.PlantRecords{
		Plant: &crop.Plant{ID: crop.ID{0: 1}, Label: "A1"}, Cultivar: &crop.Cultivar{}, Scale: &scale,
	}}
	p := &parser{script: s, loc: time.UTC}
	lines := bufio.NewScanner(strings.NewReader(text))
	for n := 1; lines.Scan(); n++ {
		line, _, _ := strings.Cut(lines.Text(), "#")
		words := strings.Fields(line)
		if len(words) == 0 {
			continue
		}
		if words[0] == "expect" {
			s.Expect = append(s.Expect, Line{Number: n, Words: words[1:]})
			continue
		}
		if err := p.record(words); err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
	}
	return s, lines.Err()
}

func (p *parser) record(words []string) error {
	r := &p.script.Records
	switch words[0] {
	case "scale":
		return p.scale(words[1:])
	case "plant":
		return p.plant(words[1:])
	case "zone":
		loc, err := time.LoadLocation(words[1])
		p.loc = loc
		return err
	case "count":
		v, err := p.count(words[1:])
		r.Visits = append(r.Visits, v)
		return err
	case "pick":
		v, err := p.pick(words[1:])
		v.PlantID = &r.Plant.ID
		r.Pickings = append(r.Pickings, v)
		return err
	case "loss":
		v, err := p.loss(words[1:])
		v.PlantID = &r.Plant.ID
		r.Losses = append(r.Losses, v)
		return err
	case "unit":
		if words[1] == "pick" {
			v, err := p.pick(words[2:])
			r.UnitPickings = append(r.UnitPickings, v)
			return err
		}
		v, err := p.loss(words[2:])
		r.UnitLosses = append(r.UnitLosses, v)
		return err
	}
	return fmt.Errorf("unknown word %q", words[0])
}

func (p *parser) id() crop.ID {
	p.ids++
	return crop.ID{0: 2, 15: p.ids}
}

func (p *parser) scale(words []string) error {
	scale := crop.Scale{ID: crop.ID{0: 3}, Name: "test"}
	for _, w := range words {
		if ripe, ok := strings.CutPrefix(w, "ripe="); ok {
			scale.RipeStage = ripe
			continue
		}
		scale.Stages = append(scale.Stages, crop.Stage{Name: w})
	}
	if scale.RipeStage == "" {
		scale.RipeStage = scale.Stages[len(scale.Stages)-1].Name
	}
	p.script.Records.Scale = &scale
	return nil
}

func (p *parser) plant(words []string) error {
	plant := p.script.Records.Plant
	plant.Label = words[0]
	for _, w := range words[1:] {
		day, ok := strings.CutPrefix(w, "removed=")
		if !ok {
			return fmt.Errorf("unknown word %q", w)
		}
		d, err := crop.ParseDate(day)
		if err != nil {
			return err
		}
		plant.RemovedOn = &d
	}
	return nil
}

// Moment reads a time as the records of a script have it.
func Moment(text string, loc *time.Location) (crop.Moment, error) {
	m, err := crop.ParseMoment(text)
	if err != nil {
		return m, fmt.Errorf("%q: %w", text, err)
	}
	return m.In(loc), nil
}

func (p *parser) count(words []string) (crop.Visit, error) {
	v := crop.Visit{ID: p.id(), PlantID: p.script.Records.Plant.ID, Counts: map[string]int{}}
	var err error
	if v.CountedAt, err = Moment(words[0], p.loc); err != nil {
		return v, err
	}
	for _, w := range words[1:] {
		if err := countWord(&v, w); err != nil {
			return v, fmt.Errorf("%q: %w", w, err)
		}
	}
	return v, nil
}

func countWord(v *crop.Visit, word string) error {
	key, value, _ := strings.Cut(word, "=")
	switch key {
	case "at_least":
		v.AtLeast = true
		return nil
	case "about":
		v.About = true
		return nil
	case "trusses":
		counted, total, stated := strings.Cut(value, "/")
		if stated {
			n, err := strconv.Atoi(total)
			if err != nil {
				return err
			}
			v.TrussesTotal = &n
		}
		if counted == "" {
			return nil
		}
		n, err := strconv.Atoi(counted)
		v.TrussesCounted = &n
		return err
	}
	n, err := strconv.Atoi(value)
	switch key {
	case "total":
		v.Total = &n
	case "truss":
		v.Truss = &n
	default:
		v.Counts[key] = n
	}
	return err
}

func (p *parser) pick(words []string) (crop.Picking, error) {
	v := crop.Picking{ID: p.id(), Grade: crop.Marketable}
	rest, err := p.taken(words, &v.PickedAt, &v.Stage, &v.Fruits)
	for _, w := range rest {
		switch w {
		case "before_count":
			v.BeforeCount = true
		case "cull":
			v.Grade = crop.Cull
		default:
			return v, fmt.Errorf("unknown word %q", w)
		}
	}
	if v.Fruits == nil {
		v.MassG = new(100.0)
	}
	return v, err
}

func (p *parser) loss(words []string) (crop.Loss, error) {
	v := crop.Loss{ID: p.id(), Cause: crop.Dropped}
	rest, err := p.taken(words, &v.LostAt, &v.Stage, &v.Fruits)
	for _, w := range rest {
		if w == "before_count" {
			v.BeforeCount = true
		} else {
			v.Cause = crop.Cause(w)
		}
	}
	return v, err
}

func (p *parser) taken(words []string, at *crop.Moment, stage *string, fruits **int) ([]string, error) {
	if len(words) < 3 {
		return nil, fmt.Errorf("want a time, a stage and a number of fruit")
	}
	var err error
	if *at, err = Moment(words[0], p.loc); err != nil {
		return nil, err
	}
	*stage = words[1]
	if words[2] != "?" {
		n, err := strconv.Atoi(words[2])
		if err != nil {
			return nil, err
		}
		*fruits = &n
	}
	return words[3:], nil
}
