package ui

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestEveryLookHasAWordAndALetterOfItsOwn(t *testing.T) {
	t.Parallel()
	words, letters := map[string]Look{}, map[string]Look{}
	for _, l := range Looks() {
		require.NotEmpty(t, l.Word(), l)
		require.Len(t, l.Letter(), 1, l)
		require.NotContains(t, words, l.Word())
		require.NotContains(t, letters, l.Letter())
		words[l.Word()], letters[l.Letter()] = l, l
	}
	require.Len(t, words, 11)
}

func TestLookFor(t *testing.T) {
	t.Parallel()
	for stage, want := range map[string]Look{
		"grained": LookGrained, "  Cut ": LookCut, "": LookBare, "bare": LookBare,
		"nickel plated": LookOther, "other": LookOther, "grainéd": LookOther,
	} {
		require.Equal(t, want, LookFor(stage), stage)
	}
}

func TestUnknownLookIsDrawnAsOther(t *testing.T) {
	t.Parallel()
	require.Equal(t, LookOther, Look("url(#x)").drawn())
	require.Equal(t, "url(#sw-other)", walnut.fill(`"><script>`, cutQuiet))
	require.Equal(t, "N", printedLetter(LookOther, "nickel plated"))
	require.Equal(t, "N", printedLetter(LookGrained, "anything"))
	require.Equal(t, "O", printedLetter(LookOther, ""))
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
