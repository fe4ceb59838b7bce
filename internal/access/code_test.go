package access

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestNewCodeHasNoLookAlikes(t *testing.T) {
	t.Parallel()
	form := regexp.MustCompile(`^[0-9ABCDEFGHJKMNPQRSTVWXYZ]{4}-[0-9ABCDEFGHJKMNPQRSTVWXYZ]{4}$`)
	seen := map[rune]bool{}
	for range 1000 {
		code, hash, err := NewCode()
		require.NoError(t, err)
		require.Regexp(t, form, code)
		require.Equal(t, HashCode(code), hash)
		for _, r := range code {
			seen[r] = true
		}
	}
	require.Len(t, seen, 32+1, "of 8,000 characters, each of the 32 and the hyphen turn up")
}

func TestCodeMayBeTypedInManyWays(t *testing.T) {
	t.Parallel()
	for _, typed := range []string{"7K0M-V31Q", "7k0m-v31q", "7k0mv31q", " 7K0M V31Q ", "7-k-0-m-v-3-1-q", "7K0M–V31Q",
		"7KOM-V3IQ", "7kom-v3lq", "7K0M-U31Q", "7K0M\u00a0V31Q", "7K0M\u200bV31Q\n"} {
		require.Equal(t, HashCode("7K0M-V31Q"), HashCode(typed), "%q", typed)
	}
	for _, typed := range []string{"", "7K0M-V31", "7K0M-V31QQ", "7K0M-V3Q1", "7K0M_V31Q"} {
		require.NotEqual(t, HashCode("7K0M-V31Q"), HashCode(typed), "%q", typed)
	}
}

// FuzzHashCode states that case, blanks and hyphens change nothing, and that what is
// read is read the same again.
func FuzzHashCode(f *testing.F) {
	for _, s := range []string{"7K0M-V31Q", "7kom v3lq", "", "ß", "ı", "\xff", "U–l\u2028o"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		want := HashCode(typed)
		require.Len(t, want, 32)
		require.Equal(t, want, HashCode(normalise(typed)), "reading twice")
		require.Equal(t, want, HashCode(" "+strings.ReplaceAll(typed, "-", " -\t")+"-\n"), "blanks and hyphens")
		require.Equal(t, HashCode(strings.ToUpper(typed)), HashCode(typed), "case")
	})
}
