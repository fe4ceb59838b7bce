package access

import (
	"strings"
	"testing"

	"github.com/alexedwards/argon2id"
	"github.com/stretchr/testify/require"
)

// cheap keeps the tests fast; a hash names its own cost, so checking is the same.
var cheap = argon2id.Params{Memory: 64, Iterations: 1, Parallelism: 1, SaltLength: 16, KeyLength: 32}

func TestSecretMatchesItsHashOnly(t *testing.T) {
	t.Parallel()
	for _, secret := range []string{"4711", "", "correct horse battery", "Grüße, \x00 and 🙂", strings.Repeat("x", 10_000)} {
		hash, err := hashSecret(secret, cheap)
		require.NoError(t, err)
		ok, err := CheckSecret(hash, secret)
		require.NoError(t, err)
		require.True(t, ok, "%.20q", secret)
		ok, err = CheckSecret(hash, secret+" ")
		require.NoError(t, err)
		require.False(t, ok, "%.20q", secret)
	}
}

func TestSaltMakesEveryHashDifferent(t *testing.T) {
	t.Parallel()
	one, err := hashSecret("4711", cheap)
	require.NoError(t, err)
	two, err := hashSecret("4711", cheap)
	require.NoError(t, err)
	require.NotEqual(t, one, two)
}

func TestHashSecretUsesTheServersCost(t *testing.T) {
	t.Parallel()
	hash, err := HashSecret("4711")
	require.NoError(t, err)
	cost, _, _, err := argon2id.DecodeHash(hash)
	require.NoError(t, err)
	require.Equal(t, serverCost, *cost)
	ok, err := CheckSecret(hash, "4711")
	require.NoError(t, err)
	require.True(t, ok)
}

func TestNobodyNeverMatches(t *testing.T) {
	t.Parallel()
	for _, secret := range []string{"", "4711"} {
		ok, err := checkSecret("", secret, cheap)
		require.NoError(t, err)
		require.False(t, ok)
	}
}

func TestUnreadableHashIsAnError(t *testing.T) {
	t.Parallel()
	tail := "$c29tZXNhbHRzb21lc2FsdA$RdescudvJCsgt3ub+b+dWRWJTmaaJObG"
	for name, hash := range map[string]string{
		"no hash":         "4711",
		"another variant": "$argon2i$v=19$m=64,t=1,p=1" + tail,
		"another version": "$argon2id$v=18$m=64,t=1,p=1" + tail,
		"no pass":         "$argon2id$v=19$m=64,t=0,p=1" + tail,
		"no thread":       "$argon2id$v=19$m=64,t=1,p=0" + tail,
		"4 TiB":           "$argon2id$v=19$m=4294967295,t=1,p=1" + tail,
		"empty key":       "$argon2id$v=19$m=64,t=1,p=1$c29tZXNhbHRzb21lc2FsdA$",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			ok, err := CheckSecret(hash, "4711")
			require.Error(t, err)
			require.False(t, ok)
		})
	}
}

// FuzzCheckSecret states that no hash, however broken, makes the check panic or match.
func FuzzCheckSecret(f *testing.F) {
	f.Add("$argon2id$v=19$m=64,t=1,p=1$c29tZXNhbHRzb21lc2FsdA$RdescudvJCsgt3ub+b+dWRWJTmaaJObG")
	f.Add("$argon2id$v=19$m=64,t=0,p=0$$")
	f.Add("$$$$$")
	f.Fuzz(func(t *testing.T, hash string) {
		ok, _ := checkSecret(hash, "4711", cheap)
		require.False(t, ok)
	})
}

func BenchmarkHashSecret(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		if _, err := HashSecret("4711"); err != nil {
			b.Fatal(err)
		}
	}
}
