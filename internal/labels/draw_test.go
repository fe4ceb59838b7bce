package labels

import (
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/static"
)

var typeset = sync.OnceValues(func() (Typeset, error) { return NewTypeset(static.Typeface()) })

func face(t require.TestingT) Typeset {
	f, err := typeset()
	require.NoError(t, err)
	return f
}

func said(d Drawing) string {
	var lines []string
	for _, s := range d.Texts[5:] {
		lines = append(lines, s.Text)
	}
	return strings.Join(lines, "\n")
}

func TestDraw(t *testing.T) {
	t.Parallel()
	l := Label{Code: "34678", Address: Address("https://shop.example", "34678"), Piece: "Door capping", Side: "left", Car: "26-014 1936 Brennick Eight", Place: "Rack 2, hook 4"}
	d, err := face(t).Draw(l, 70, 37)
	require.NoError(t, err)
	require.Equal(t, "Door capping\nleft\n26-014 1936 Brennick\nEight\nRack 2, hook 4", said(d))
	l.Stamp = true
	d, err = face(t).Draw(l, 70, 37)
	require.NoError(t, err)
	require.Contains(t, strings.ReplaceAll(said(d), "\n", " "), StampWords)
	l.Piece = "Windscreen garnish moulding, upper, behind the mirror and the sun visors"
	d, err = face(t).Draw(l, 38.1, 21.2)
	require.NoError(t, err)
	require.Contains(t, said(d), "…")
	require.Contains(t, said(d), "left", "of two alike, the side tells which")
	require.Contains(t, strings.ReplaceAll(said(d), "\n", " "), StampWords)
	require.Greater(t, d.ModuleMM(), FinestMM)
	_, err = face(t).Draw(Label{Address: strings.Repeat("x", 4000)}, 70, 37)
	require.Error(t, err)
}

// Nothing of a label is ever outside of it, whatever it is called: its lines don't run
// into the square code, into one another or over the edge.
func TestDrawKeepsInside(t *testing.T) {
	t.Parallel()
	words := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Za-zäöüßłŁ ,.-]{0,80}`), rapid.SampledFrom([]string{"שער קדמי ימני ארוך מאוד", "Käse\u0301\u0301", "漢字漢字漢字漢字漢字漢字", ""}))
	rapid.Check(t, func(t *rapid.T) {
		f := face(t)
		preset := rapid.SampledFrom(Presets()).Draw(t, "sheet")
		l := Label{Code: "W3M7Y", Address: Address("https://shop.example", "W3M7Y"), Piece: words.Draw(t, "piece"), Side: words.Draw(t, "side"),
			Car: words.Draw(t, "car"), Place: words.Draw(t, "place"), Stamp: rapid.Bool().Draw(t, "stamp")}
		d, err := f.Draw(l, preset.LabelW, preset.LabelH)
		require.NoError(t, err)
		require.True(t, d.QRSide <= d.H && d.QRSide <= d.W)
		above := 0.0
		for i, s := range d.Texts {
			require.GreaterOrEqual(t, s.X, d.QRSide-1e-9)
			require.LessOrEqual(t, s.X+f.face(s.Bold).Width(s.Text)*s.Size, d.W+1e-9, "%q", s.Text)
			require.GreaterOrEqual(t, s.Y-s.Size*ascent, -1e-9)
			require.LessOrEqual(t, s.Y, d.H, "%q", s.Text)
			if i >= 5 {
				require.Greater(t, s.Y, above, "%q", s.Text)
			}
			above = s.Y
		}
		for i, sign := range strings.Split(l.Code, "") {
			require.Equal(t, sign, d.Texts[i].Text)
		}
	})
}

func TestFaceKnowsWhatItLacks(t *testing.T) {
	t.Parallel()
	f := face(t).Regular
	for s, want := range map[string]string{"Türkappe, łódź": "Türkappe, łódź", "שער": "???", "a\U0001F600": "a?"} {
		require.Equal(t, want, f.Known(s))
		require.Equal(t, s != want, f.Lacks(s))
	}
	_, err := NewFace([]byte("no typeface"))
	require.Error(t, err)
	_, err = NewTypeset([]byte("no"), nil)
	require.Error(t, err)
}
