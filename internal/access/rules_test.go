package access

import (
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestCheckPIN(t *testing.T) {
	t.Parallel()
	for pin, want := range map[string]string{
		"4711": "", "0815": "", "90210": "", "31415926": "", "1243": "", "1221": "", "0001": "",
		"":          "4 to 8 digits",
		"471":       "4 to 8 digits",
		"314159265": "4 to 8 digits",
		"47a1":      "digits only",
		"47 11":     "digits only",
		" 4711":     "digits only",
		"-471":      "digits only",
		"٤٧١١":      "digits only",
		"0000":      "first that anybody would try",
		"77777777":  "first that anybody would try",
		"1234":      "first that anybody would try",
		"01234567":  "first that anybody would try",
		"7890":      "first that anybody would try",
		"9876":      "first that anybody would try",
		"3210":      "first that anybody would try",
		"1212":      "first that anybody would try",
		"90909":     "first that anybody would try",
	} {
		t.Run(pin, func(t *testing.T) {
			t.Parallel()
			requireProblem(t, CheckPIN(pin), restoration.TroubleInvalid, "pin", want)
		})
	}
}

// FuzzCheckPIN states that only plain digits pass, and that every refusal is a
// sentence at its field.
func FuzzCheckPIN(f *testing.F) {
	for _, s := range []string{"4711", "0000", "", "47\x0011", "４７１１", "1234567890"} {
		f.Add(s)
	}
	form := regexp.MustCompile(`\A[0-9]{4,8}\z`)
	f.Fuzz(func(t *testing.T, pin string) {
		err := CheckPIN(pin)
		if err == nil {
			require.Regexp(t, form, pin)
			return
		}
		p, ok := restoration.AsProblem(err)
		require.True(t, ok)
		require.Equal(t, "pin", p.Field)
		require.True(t, strings.HasSuffix(p.Message, "."))
	})
}

func TestCheckPassword(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct{ password, want string }{
		"words":          {"walnut over sand", ""},
		"ten signs":      {"abcdefghij", ""},
		"umlauts count":  {"äöüäöüäöüß", ""},
		"200 characters": {strings.Repeat("abcd", 50), ""},
		"empty":          {"", "at least 10 characters"},
		"nine signs":     {"abcdefghi", "at least 10 characters"},
		"nine umlauts":   {"äöüäöüäöß", "at least 10 characters"},
		"201 characters": {strings.Repeat("abcd", 50) + "x", "at most 200 characters"},
		"one sign":       {strings.Repeat("a", 12), "same few characters"},
		"three signs":    {strings.Repeat("abc", 4), "same few characters"},
		"broken UTF-8":   {"abcdefghij\xff", "can't be read"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			requireProblem(t, CheckPassword(c.password), restoration.TroubleInvalid, "password", c.want)
		})
	}
}

func TestCheckMayEnter(t *testing.T) {
	t.Parallel()
	then := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	require.NoError(t, CheckMayEnter(restoration.Person{Name: "Ida", Misses: restoration.MaxMisses - 1}))
	requireProblem(t, CheckMayEnter(restoration.Person{Name: "Ida", LockedAt: then}), restoration.TroubleForbidden, "", "Ida is locked")
	requireProblem(t, CheckMayEnter(restoration.Person{Name: "Ida", LeftAt: then}), restoration.TroubleForbidden, "", "Ida no longer works here")
}

// requireProblem holds err against the words that it must contain; "" is no error.
func requireProblem(t *testing.T, err error, trouble restoration.Trouble, field, words string) {
	t.Helper()
	if words == "" {
		require.NoError(t, err)
		return
	}
	p, ok := restoration.AsProblem(err)
	require.True(t, ok, "%v", err)
	require.Equal(t, trouble, p.Trouble)
	require.Equal(t, field, p.Field)
	require.Contains(t, p.Message, words)
}
