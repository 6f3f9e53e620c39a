package storage

import (
	"cmp"
	"slices"

	"vinetally/analytics/crop"
)

// shares are the parts in which a season's counts are read, so that two connections have as much to do: from and to are the
// last byte of a plant's id, which is spread evenly whether ids are random or numbered.
var shares = [...]struct{ from, to byte }{{0x00, 0x3f}, {0x40, 0x7f}, {0x80, 0xbf}, {0xc0, 0xff}}

// The counts of a season's plants are packed plant by plant: labels are unique in a season and stand in its index in order,
// while grouping by the plant's id would go through all plants of the site.
const (
	visitsOfSeason = `SELECT p.id, ` + packedVisits + ` FROM plants AS p CROSS JOIN visits AS e ON e.site_id = p.site_id AND e.plant_id = p.id
		WHERE p.site_id = ?1 AND p.season_id = ?2`
	oneOfFour = ` AND substr(p.id, 16) BETWEEN ?3 AND ?4 GROUP BY p.season_id, p.label`
)

// visits reads the counts of the one plant.
func (l *loader) visits() error {
	packs, err := scanPacked(l.ctx, l.q, visitsOfPlant, l.site, key(*l.plant))
	if err != nil {
		return err
	}
	l.trial.Visits, err = unpackVisits(packs)
	return err
}

// visitsOfShare reads the counts of a share of the season's plants, unless they are in packs already. It leaves them there, or
// none if they are too many to be kept.
func (l *loader) visitsOfShare(i int, packs *sharedPacks) (visits []crop.Visit, err error) {
	share := packs[i]
	if share == nil {
		from, to := []byte{shares[i].from}, []byte{shares[i].to}
		if share, err = scanPacked(l.ctx, l.q, visitsOfSeason+oneOfFour, l.site, key(l.season), from, to); err != nil {
			return nil, err
		}
		if share == nil {
			share = []packed{} // known to be none
		}
	}
	if sizeOf(share) <= mostKept/len(shares) {
		packs[i] = share
	}
	return unpackVisits(share)
}

// inTime joins lists of counts into one in the order of time, as far as it is known before they are placed: Arrange has less
// to move then.
func inTime(lists [][]crop.Visit) []crop.Visit {
	type position struct {
		at         int64
		list, item int32
	}
	n := 0
	for _, list := range lists {
		n += len(list)
	}
	order := make([]position, 0, n)
	for i, list := range lists {
		for j := range list {
			order = append(order, position{list[j].CountedAt.At.UnixMilli(), int32(i), int32(j)})
		}
	}
	visit := func(p position) *crop.Visit { return &lists[p.list][p.item] }
	slices.SortFunc(order, func(a, b position) int {
		if a.at != b.at {
			return cmp.Compare(a.at, b.at)
		}
		return visit(a).ID.Compare(visit(b).ID)
	})
	all := make([]crop.Visit, n)
	for i, p := range order {
		all[i] = *visit(p)
	}
	return all
}
