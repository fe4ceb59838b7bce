package restoration

import (
	"crypto/sha1"
	"database/sql/driver"
	"encoding/hex"
	"fmt"
	"strings"
)

// ID is a UUID (RFC 9562) of an event, a piece or a step. The zero ID means none.
type ID [16]byte

// ParseID reads the 36-sign form with hyphens, in either case.
func ParseID(s string) (ID, error) {
	var id ID
	if len(s) != 36 || s[8] != '-' || s[13] != '-' || s[18] != '-' || s[23] != '-' {
		return ID{}, fmt.Errorf("%.60q is not a UUID: write 32 hexadecimal digits as 8-4-4-4-12", s)
	}
	if n, err := hex.Decode(id[:], []byte(strings.ReplaceAll(s, "-", ""))); err != nil || n != len(id) {
		return ID{}, fmt.Errorf("%q is not a UUID: write 32 hexadecimal digits as 8-4-4-4-12", s)
	}
	return id, nil
}

// Derive gives the name-based UUID (version 5) of name within id. The ids of the
// steps that an event opens are derived from it, so that replaying the ledger
// gives the same ids again.
func (id ID) Derive(name string) ID {
	sum := sha1.Sum(append(id[:], name...))
	var out ID
	copy(out[:], sum[:])
	out[6] = out[6]&0x0f | 0x50
	out[8] = out[8]&0x3f | 0x80
	return out
}

// IsZero tells whether id names nothing.
func (id ID) IsZero() bool { return id == ID{} }

// String writes id in five groups of hexadecimal digits.
func (id ID) String() string {
	h := hex.EncodeToString(id[:])
	return h[:8] + "-" + h[8:12] + "-" + h[12:16] + "-" + h[16:20] + "-" + h[20:]
}

// MarshalText writes the form that [ParseID] reads.
func (id ID) MarshalText() ([]byte, error) { return []byte(id.String()), nil }

// UnmarshalText is [ParseID].
func (id *ID) UnmarshalText(text []byte) error {
	parsed, err := ParseID(string(text))
	if err != nil {
		return err
	}
	*id = parsed
	return nil
}

// Value gives the text form to a database driver; the zero ID is null.
func (id ID) Value() (driver.Value, error) {
	if id.IsZero() {
		return nil, nil
	}
	return id.String(), nil
}

// Scan reads what a database driver gives: null, text or 16 bytes.
func (id *ID) Scan(src any) error {
	switch v := src.(type) {
	case nil:
		*id = ID{}
		return nil
	case string:
		return id.UnmarshalText([]byte(v))
	case []byte:
		if len(v) == len(id) {
			copy(id[:], v)
			return nil
		}
		return id.UnmarshalText(v)
	case [16]byte:
		*id = v
		return nil
	}
	return fmt.Errorf("cannot read an id from %T", src)
}
