package restoration

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/colour"
)

// A piece with ground, four coats of clear, a pass and readings of all kinds is sent back:
// what is gone, by the deeds in their order, and that the film is the same without it.
func TestSentBackSince(t *testing.T) {
	t.Parallel()
	for to, want := range map[string][]string{
		"cut":      {"gloss"},
		"cleared":  {"gloss"},
		"grained":  {"baseline", "clear", "clear", "clear", "clear", "pass", "film", "gloss"},
		"grounded": {"ground", "colour", "baseline", "clear", "clear", "clear", "clear", "pass", "film", "gloss"},
	} {
		s := newFilmShop(door())
		now := cutByGauge(t, s)
		ground := s.step(1, "grounded").DoneAt
		s.mustDo(t, KindCoat, 1, "grounded", ground.Add(-time.Minute), Payload{Reason: "logged late", Coat: &Coat{Number: 1, Material: theGround, Lots: []LotUse{{Lot: groundTin}}}})
		s.mustDo(t, KindReading, 1, "", ground, Payload{Reading: &Reading{Kind: ReadColour, Lab: &colour.Lab{L: 40}}})
		s.mustDo(t, KindReading, 1, "", now, Payload{Reading: &Reading{Kind: ReadGloss, Gloss: &colour.Gloss{GU: 85, Angle: 60}}})
		deeds := s.film[testID('p', 1)]
		require.NotNil(t, LatestReading(s.piece(1), s.route, deeds, ReadColour), to)
		require.NotNil(t, LatestReading(s.piece(1), s.route, deeds, ReadGloss), to)

		s.mustDo(t, KindSendBack, 1, to, now.Add(time.Minute), backTo(to))
		p, gone := s.piece(1), []string(nil)
		for _, d := range deeds {
			if p.SentBackSince(s.route, d) {
				gone = append(gone, deedName(d))
			}
		}
		require.ElementsMatch(t, want, gone, to)
		require.Equal(t, to == "grounded", LatestReading(p, s.route, deeds, ReadColour) == nil, to)
		require.Nil(t, LatestReading(p, s.route, deeds, ReadGloss), to)
		left := slices.DeleteFunc(slices.Clone(deeds), func(d Deed) bool { return p.SentBackSince(s.route, d) })
		had, has := FilmOf(p, s.route, deeds, s.scene.Policy()), FilmOf(p, s.route, left, s.scene.Policy())
		had.Gone, has.Gone = false, false
		require.Equal(t, had, has, to)

		s.mustDo(t, KindReading, 1, "", now.Add(2*time.Minute), Payload{Reading: &Reading{Kind: ReadColour, Lab: &colour.Lab{L: 41}}})
		require.InDelta(t, 41, LatestReading(s.piece(1), s.route, s.film[testID('p', 1)], ReadColour).Lab.L, 1e-9, "it was read since")
	}
}

func deedName(d Deed) string {
	switch {
	case d.baseline():
		return "baseline"
	case d.Kind == KindReading:
		return string(d.Reading.Kind)
	case d.Kind == KindCutPass:
		return "pass"
	}
	return string(d.Layer)
}
