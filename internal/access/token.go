package access

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
)

// NewToken makes a token of 256 random bits, fit for an address or a cookie, and the
// hash to keep of it. The error is always nil; it stands here so that a source of
// randomness that can fail would change no caller.
func NewToken() (token string, hash []byte, err error) {
	var random [32]byte
	rand.Read(random[:]) // never fails: it ends the program instead
	token = base64.RawURLEncoding.EncodeToString(random[:])
	return token, HashToken(token), nil
}

// HashToken gives the SHA-256 under which a token is kept. A plain hash is enough:
// 256 random bits can't be guessed, and looking a hash up tells nothing by its time
// to somebody who can't choose the hash.
func HashToken(token string) []byte {
	sum := sha256.Sum256([]byte(token))
	return sum[:]
}
