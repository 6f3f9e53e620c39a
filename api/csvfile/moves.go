package csvfile

import (
	"slices"
	"strconv"
	"strings"

	"vinetally/analytics/crop"
)

// moveRow is one change of place of one plant.
type moveRow struct {
	plant crop.ID
	place crop.ID
	on    *crop.Date
}

var moveTable = &table[moveRow]{
	file: movesFile, noun: "move", key: "plant+moved_on",
	columns: []column[moveRow]{
		seasonColumn(func(n *registry, r *moveRow) string { return n.seasonOf(&r.plant, nil) }, func(*moveRow, crop.ID) {}),
		plantColumn(mustGiven, func(n *registry, r *moveRow) string { return n.plantLabel(&r.plant) },
			func(r *moveRow, id *crop.ID) { r.plant = orZero(id) }),
		placeColumn(mustGiven, func(n *registry, r *moveRow) string { return n.placeName(&r.place) },
			func(r *moveRow, id *crop.ID) { r.place = orZero(id) }),
		dateColumn("moved_on", mustGiven, func(r *moveRow) **crop.Date { return &r.on }),
	},
}

type moveKey struct {
	plant crop.ID
	on    crop.Date
}

// takeMove adds a move to its plant.
func (k *plantRows) takeMove(c *cell, h *header, cells []string) {
	im := c.im
	given := idCell(c, h, cells)
	var r moveRow
	moveTable.fill(c, h, cells, &r)
	if c.faults > 0 || c.plant.faulty {
		return
	}
	if !given.IsZero() && given != r.plant {
		c.faultAt("id", "is not the id of plant %q, %s; a move has the id of its plant, or none", c.plant.record.Label, r.plant)
		return
	}
	key := moveKey{r.plant, *r.on}
	if other, twice := k.moves[key]; twice {
		c.faultAt(moveTable.key, "the same move stands in %s already; keep one of the two", im.where(other, c.at))
		return
	}
	k.moves[key] = c.at
	e := k.entries[r.plant]
	if e == nil {
		e = &plantEntry{row: plantRow{Plant: *c.plant.record}, stored: c.plant.record, at: c.at}
		e.row.Moves = slices.Clone(e.row.Moves)
		k.enter(e)
		im.registry.plants[r.plant], c.plant.record = &e.row.Plant, &e.row.Plant
	}
	e.move(im, c, crop.Move{PlaceID: r.place, On: *r.on})
}

func (e *plantEntry) move(im *importer, c *cell, move crop.Move) {
	tally := im.tallies[c.at.source]
	i := slices.IndexFunc(e.row.Moves, func(m crop.Move) bool { return m.On == move.On })
	switch {
	case i < 0:
		e.row.Moves = append(e.row.Moves, move)
		tally.Created++
	case e.row.Moves[i].PlaceID == move.PlaceID:
		tally.Unchanged++
		return
	default:
		was, is := im.registry.placeName(&e.row.Moves[i].PlaceID), im.registry.placeName(&move.PlaceID)
		differences := "place " + shown(was) + " → " + shown(is)
		if !im.opts.Replace {
			c.faultAt("place", "%s", refusal("move", differences))
			return
		}
		e.row.Moves[i] = move
		im.replaces(c.at, differences)
	}
	e.moved = true
}

// movePart finds the row of /moves/1/on. A move that no row is of is the plant's.
func (k *plantRows) movePart(p *crop.Plant, pointer string) (rowRef, string, bool) {
	parts := strings.Split(pointer, "/")
	if len(parts) != 4 || parts[1] != "moves" {
		return rowRef{}, "", false
	}
	i, err := strconv.Atoi(parts[2])
	if err != nil || i < 0 || i >= len(p.Moves) {
		return rowRef{}, "", false
	}
	at, ok := k.moves[moveKey{p.ID, p.Moves[i].On}]
	column := "place"
	if parts[3] == "on" {
		column = "moved_on"
	}
	return at, column, ok
}
