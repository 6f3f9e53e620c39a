package crop

import (
	"bytes"
	"encoding/hex"
	"errors"
)

// ID is a UUID in its 16 bytes (RFC 9562). The zero ID means "none".
type ID [16]byte

// The two scales that every site starts with keep these ids everywhere, so that a cultivar without a scale of its own
// means the same in every database.
var (
	DefaultScaleID     = mustID("00000000-0000-8000-8000-000000000004")
	ColourClassScaleID = mustID("00000000-0000-8000-8000-000000000006")
	errID              = errors.New("not a UUID: want 32 hexadecimal digits as 8-4-4-4-12")
)

// ParseID reads the usual text form, 8-4-4-4-12 hexadecimal digits in either case.
func ParseID(s string) (ID, error) {
	var id ID
	if len(s) != 36 || s[8] != '-' || s[13] != '-' || s[18] != '-' || s[23] != '-' {
		return ID{}, errID
	}
	digits := s[0:8] + s[9:13] + s[14:18] + s[19:23] + s[24:36]
	if _, err := hex.Decode(id[:], []byte(digits)); err != nil {
		return ID{}, errID
	}
	return id, nil
}

func mustID(s string) ID {
	id, err := ParseID(s)
	if err != nil {
		panic(err)
	}
	return id
}

// IsZero tells whether the id is none.
func (id ID) IsZero() bool { return id == ID{} }

// Compare orders ids by their bytes, which for version 7 is the order of making.
func (id ID) Compare(other ID) int { return bytes.Compare(id[:], other[:]) }

func (id ID) String() string {
	text, _ := id.MarshalText()
	return string(text)
}

// MarshalText writes the lower-case form 8-4-4-4-12.
func (id ID) MarshalText() ([]byte, error) {
	out := make([]byte, 36)
	hex.Encode(out[0:8], id[0:4])
	hex.Encode(out[9:13], id[4:6])
	hex.Encode(out[14:18], id[6:8])
	hex.Encode(out[19:23], id[8:10])
	hex.Encode(out[24:36], id[10:16])
	out[8], out[13], out[18], out[23] = '-', '-', '-', '-'
	return out, nil
}

// UnmarshalText reads what MarshalText writes, in either case.
func (id *ID) UnmarshalText(text []byte) error {
	parsed, err := ParseID(string(text))
	if err != nil {
		return err
	}
	*id = parsed
	return nil
}
