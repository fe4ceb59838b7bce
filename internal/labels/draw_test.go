package labels

import (
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
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
	words := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Za-zäöüßłŁ ,.-]{0,80}`), rapid.SampledFrom([]string{"שער קדמי ימני ארוך מאוד", "Щиток приборов, левый, Жёлтый", "Ταμπλό αριστερό", "Käse\u0301\u0301", "漢字漢字漢字漢字漢字漢字", ""}))
	rapid.Check(t, func(t *rapid.T) {
		f := face(t)
		preset := rapid.SampledFrom(Presets(restoration.Metric)).Draw(t, "sheet")
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
	for s, want := range map[string]struct{ known, lacks string }{
		"Türkappe, łódź":           {"Türkappe, łódź", ""},
		"Торпедо, Щиток":           {"Торпедо, Щиток", ""},
		"Ταμπλό":                   {"Ταμπλό", ""},
		"שער ש":                    {"??? ?", "שער"},
		"a\U0001F600 b\U0001F600漢": {"a? b??", "\U0001F600漢"},
	} {
		require.Equal(t, want.known, f.Known(s))
		require.Equal(t, want.lacks, f.Lacks(s))
	}
	_, err := NewFace([]byte("no typeface"))
	require.Error(t, err)
	_, err = NewFace(f.fonts[0].ttf, []byte("no stand-in"))
	require.Error(t, err)
	_, err = NewTypeset([]byte("no"), nil)
	require.Error(t, err)
}

// What one typeface lacks another draws, each stretch in one go; put together they are
// the text.
func TestRuns(t *testing.T) {
	t.Parallel()
	f := face(t).Regular
	list := f.runs("Rack Щит 4, ש")
	var fonts []int
	var texts []string
	for _, r := range list {
		fonts, texts = append(fonts, r.Font), append(texts, r.Text)
		require.Positive(t, r.Width)
	}
	require.Equal(t, []string{"Rack ", "Щит", " 4, ?"}, texts)
	require.Equal(t, []int{0, 1, 0}, fonts)
	require.Empty(t, f.runs(""))
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Za-zäłЖщΩλ 0-9́]{0,40}`)).Draw(t, "text")
		joined, width := "", 0.0
		for _, r := range f.runs(s) {
			joined, width = joined+r.Text, width+r.Width
		}
		require.Equal(t, f.Known(s), joined)
		require.LessOrEqual(t, width, f.Width(f.Known(s))+1e-9, "laid out at least as wide as it is drawn")
	})
}
