package crop

import "time"

// Kind names a kind of record as the contract's paths do.
type Kind string

// The kinds of record.
const (
	Seasons      Kind = "seasons"
	Places       Kind = "places"
	Cultivars    Kind = "cultivars"
	Scales       Kind = "scales"
	Plants       Kind = "plants"
	Visits       Kind = "counts"
	Pickings     Kind = "pickings"
	Losses       Kind = "losses"
	Diary        Kind = "diary"
	Temperatures Kind = "temperatures"
	Germinations Kind = "germination"
)

// Kinds lists every kind, those that others refer to first.
func Kinds() []Kind {
	return []Kind{Seasons, Places, Scales, Cultivars, Plants, Visits, Pickings, Losses, Diary, Temperatures, Germinations}
}

// Record is one row of any kind. The implementations are pointers to the types of this package.
type Record interface {
	RecordKind() Kind
	// Identity returns the record's id, SetIdentity sets it.
	Identity() ID
	SetIdentity(ID)
	check(*checker)
}

// New returns an empty record of a kind, or nil for an unknown kind.
func New(kind Kind) Record {
	switch kind {
	case Seasons:
		return &Season{}
	case Places:
		return &Place{}
	case Scales:
		return &Scale{}
	case Cultivars:
		return &Cultivar{}
	case Plants:
		return &Plant{}
	case Visits:
		return &Visit{}
	case Pickings:
		return &Picking{}
	case Losses:
		return &Loss{}
	case Diary:
		return &DiaryEntry{}
	case Temperatures:
		return &Temperature{}
	case Germinations:
		return &Germination{}
	}
	return nil
}

// RecordKind, Identity and SetIdentity make each type a Record.
func (*Season) RecordKind() Kind      { return Seasons }
func (*Place) RecordKind() Kind       { return Places }
func (*Scale) RecordKind() Kind       { return Scales }
func (*Cultivar) RecordKind() Kind    { return Cultivars }
func (*Plant) RecordKind() Kind       { return Plants }
func (*Visit) RecordKind() Kind       { return Visits }
func (*Picking) RecordKind() Kind     { return Pickings }
func (*Loss) RecordKind() Kind        { return Losses }
func (*DiaryEntry) RecordKind() Kind  { return Diary }
func (*Temperature) RecordKind() Kind { return Temperatures }
func (*Germination) RecordKind() Kind { return Germinations }

func (r *Season) Identity() ID      { return r.ID }
func (r *Place) Identity() ID       { return r.ID }
func (r *Scale) Identity() ID       { return r.ID }
func (r *Cultivar) Identity() ID    { return r.ID }
func (r *Plant) Identity() ID       { return r.ID }
func (r *Visit) Identity() ID       { return r.ID }
func (r *Picking) Identity() ID     { return r.ID }
func (r *Loss) Identity() ID        { return r.ID }
func (r *DiaryEntry) Identity() ID  { return r.ID }
func (r *Temperature) Identity() ID { return r.ID }
func (r *Germination) Identity() ID { return r.ID }

func (r *Season) SetIdentity(id ID)      { r.ID = id }
func (r *Place) SetIdentity(id ID)       { r.ID = id }
func (r *Scale) SetIdentity(id ID)       { r.ID = id }
func (r *Cultivar) SetIdentity(id ID)    { r.ID = id }
func (r *Plant) SetIdentity(id ID)       { r.ID = id }
func (r *Visit) SetIdentity(id ID)       { r.ID = id }
func (r *Picking) SetIdentity(id ID)     { r.ID = id }
func (r *Loss) SetIdentity(id ID)        { r.ID = id }
func (r *DiaryEntry) SetIdentity(id ID)  { r.ID = id }
func (r *Temperature) SetIdentity(id ID) { r.ID = id }
func (r *Germination) SetIdentity(id ID) { r.ID = id }

// Stored is a record as the store keeps it.
type Stored struct {
	Record     Record
	Version    int64 // 1 for the first
	RecordedAt time.Time
	Actor      string
	Deleted    bool // this version is a deletion; Record holds what was deleted
}

// Change is one wish: to keep Record as the current version of its id, or to delete it.
type Change struct {
	Record Record
	Delete bool
	// Base is the version the change was made from, 0 for a new record; nil doesn't care.
	Base *int64
}

// Effect says what a change did.
type Effect string

// The effects of a change.
const (
	Created   Effect = "created"
	Replaced  Effect = "replaced"
	Unchanged Effect = "unchanged" // the stored record was the same already
	Removed   Effect = "deleted"
)

// Outcome is the answer to one change.
type Outcome struct {
	Stored
	Effect Effect
	// Superseded tells that nothing changed because an earlier version had these contents; the current one, which may be a
	// deletion, has others.
	Superseded bool
}

// ApplyOptions go with a batch of changes.
type ApplyOptions struct {
	Actor string
	// IfChange refuses the batch as stale unless the site's change number is still this one; nil doesn't care.
	IfChange *int64
	// DryRun checks everything and stores nothing.
	DryRun bool
	// Witness sees what is written while it waits for the disk; nil for none.
	Witness Witness
}

// Witness looks at what is about to be answered together with the evidence it joins, in the time that a write waits for the
// disk anyway. If the write fails after all, what it made of it is to be thrown away; if the write has to be repeated, it is
// asked again.
type Witness interface {
	// Plants names the plants whose evidence it wants, none for no look at all.
	Plants(written []Outcome) []ID
	// Consider gets for each of those plants the season's records that its ledger rests on, with what is being written; err
	// says why there are none. It runs beside the caller, which waits for it.
	Consider(written []Outcome, evidence []*Trial, err error)
}

// Filter narrows a list. Nil fields and an empty cursor don't narrow.
type Filter struct {
	SeasonID, PlaceID, CultivarID, PlantID *ID
	From, To                               *time.Time // From ≤ time ≤ To
	FromDay, ToDay                         *Date      // FromDay ≤ day ≤ ToDay, by the clock of the place
	Cursor                                 string
	Limit                                  int // 1…500; 0 is 100
}

// Page is one page of a list; Next is empty on the last.
type Page struct {
	Items []Stored
	Next  string
}
