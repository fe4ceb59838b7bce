package ui

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestEveryLookHasAWordAndALetterOfItsOwn(t *testing.T) {
	t.Parallel()
	words, letters := map[string]restoration.Look{}, map[string]restoration.Look{}
	for _, l := range restoration.Looks() {
		require.NotEmpty(t, LookWord(l), l)
		require.Len(t, letter(l), 1, l)
		require.NotContains(t, words, LookWord(l))
		require.NotContains(t, letters, letter(l))
		words[LookWord(l)], letters[letter(l)] = l, l
	}
	require.Len(t, words, 11)
}

func TestUnknownLookIsDrawnAsOther(t *testing.T) {
	t.Parallel()
	require.Equal(t, restoration.LookOther, drawn("url(#x)"))
	require.Equal(t, "url(#sw-other)", walnut.fill(`"><script>`, cutQuiet))
	require.Equal(t, "N", printedLetter(restoration.LookOther, "nickel plated"))
	require.Equal(t, "N", printedLetter(restoration.LookGrained, "anything"))
	require.Equal(t, "O", printedLetter(restoration.LookOther, ""))
}

func TestNewScheme(t *testing.T) {
	t.Parallel()
	tests := map[string]string{
		"#9A6A3C": "#9a6a3c", "9a6a3c": "#9a6a3c", "#abc": "#aabbcc", " #102030 ": "#102030",
		"": fallbackGround, "walnut": fallbackGround, "#12345": fallbackGround, "#12345g": fallbackGround,
		`#fff" onload="x`: fallbackGround, "##102030": fallbackGround,
	}
	for given, want := range tests {
		require.Equal(t, want, NewScheme(given, "").Ground(), given)
	}
	require.Equal(t, fallbackGrain, Scheme{}.Grain())
	require.Equal(t, NewScheme("", ""), NewScheme(fallbackGround, fallbackGrain))
}

// Whatever is typed as a colour, only six hex digits reach the page.
func TestSchemeLetsNothingButHexThrough(t *testing.T) {
	t.Parallel()
	hex := regexp.MustCompile(`^#[0-9a-f]{6}$`)
	rapid.Check(t, func(t *rapid.T) {
		s := NewScheme(rapid.String().Draw(t, "ground"), rapid.StringMatching(`#?[0-9a-fA-F]{0,8}`).Draw(t, "grain"))
		if !hex.MatchString(s.Ground()) || !hex.MatchString(s.Grain()) {
			t.Fatalf("got %q, %q", s.Ground(), s.Grain())
		}
	})
}

func TestDistinctKeepsTheFirstOfEach(t *testing.T) {
	t.Parallel()
	same := NewScheme("9A6A3C", "#3F2413")
	require.Equal(t, []Scheme{walnut, blonde}, distinct([]Scheme{walnut, same, blonde, walnut}))
	require.Empty(t, distinct(nil))
}

func TestShowsScheme(t *testing.T) {
	t.Parallel()
	var shown []restoration.Look
	for _, look := range restoration.Looks() {
		if ShowsScheme(look) {
			shown = append(shown, look)
		}
	}
	require.Equal(t, []restoration.Look{restoration.LookGrounded, restoration.LookGrained, restoration.LookCleared, restoration.LookCut, restoration.LookFitted}, shown)
}
