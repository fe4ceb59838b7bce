package access

import (
	"encoding/base64"
	"encoding/hex"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNewTokenCarries256Bits(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for range 1000 {
		token, hash, err := NewToken()
		require.NoError(t, err)
		random, err := base64.RawURLEncoding.DecodeString(token)
		require.NoError(t, err)
		require.Len(t, random, 32)
		require.Equal(t, HashToken(token), hash)
		require.False(t, seen[token], "the same token twice")
		seen[token] = true
	}
}

// The expected value is the SHA-256 of "abc" in FIPS 180-4.
func TestHashTokenIsSHA256(t *testing.T) {
	t.Parallel()
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", hex.EncodeToString(HashToken("abc")))
}
