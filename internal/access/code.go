package access

import (
	"crypto/rand"
	"crypto/sha256"
	"strings"
	"unicode"
)

// signs are the 32 characters of a code: of each group of look-alikes (0 O, 1 I L, U V)
// one only.
const signs = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"

// meant maps what a person may read for a sign of a code.
var meant = strings.NewReplacer("O", "0", "I", "1", "L", "1", "U", "V")

// NewCode makes a code of 8 characters (40 random bits) to be read off one screen and
// typed on another, as "XXXX-XXXX", and the hash to keep of it. 40 bits are enough
// only for a code that lives for minutes and works once. The error is always nil,
// as that of [NewToken].
func NewCode() (code string, hash []byte, err error) {
	var random [8]byte
	rand.Read(random[:]) // never fails: it ends the program instead
	out := make([]byte, 0, len(random)+1)
	for i, b := range random {
		if i == len(random)/2 {
			out = append(out, '-')
		}
		out = append(out, signs[b%32]) // 32 divides 256: every sign is as likely
	}
	return string(out), HashCode(string(out)), nil
}

// HashCode gives the SHA-256 under which a code is kept. Case, blanks and hyphens
// do not count, and a look-alike is taken for the sign that a code may hold.
func HashCode(typed string) []byte {
	sum := sha256.Sum256([]byte(normalise(typed)))
	return sum[:]
}

func normalise(typed string) string {
	bare := strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || unicode.Is(unicode.Pd, r) || unicode.Is(unicode.Cf, r) {
			return -1
		}
		return unicode.ToUpper(r)
	}, typed)
	return meant.Replace(bare)
}
