package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

// Clear A is sanded after 1200 min and polished after 2880.
func TestAPassBeforeTheCoatIsHardNeedsAReason(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	sprayed := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", sprayed, clearCoat(1))
	for _, c := range []struct {
		name  string
		after time.Duration
		grade string
		want  []string
	}{
		{"wet", time.Minute, "P800", []string{"The last coat still hardened: sanding was allowed 19 h 59 min later."}},
		{"nearly hard", 19 * time.Hour, "P2000", []string{"The last coat still hardened: sanding was allowed 1 h later."}},
		{"hard enough to sand", 20 * time.Hour, "P800", nil},
		{"but not to polish", 20 * time.Hour, "polish", []string{"The last coat still hardened: polishing was allowed 1 d 4 h later."}},
		{"a compound polishes", 47 * time.Hour, "Compound", []string{"The last coat still hardened: polishing was allowed 1 h later."}},
		{"hard enough to polish", 48 * time.Hour, "polish", nil},
	} {
		require.Equal(t, c.want, s.judge(KindCutPass, 1, "cleared", sprayed.Add(c.after), pass(c.grade)).Needs, c.name)
	}

	soon := sprayed.Add(time.Minute)
	out := s.do(KindCutPass, 1, "cleared", soon, pass("P800"))
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "The last coat still hardened: sanding was allowed 19 h 59 min later. Put it right, or say why it is so.", out.Reason)
	with := pass("P800")
	with.Reason = "Baked or lamp-cured"
	s.mustDo(t, KindCutPass, 1, "cleared", soon, with)
}

func TestHardFrom(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	sprayed := s.reach(t, 1, "cleared")
	cold := clearCoat(1)
	cold.Coat.Air = &AirWords{SurfaceC: number(10)}
	hard := func(at time.Time, grade string) time.Time {
		return HardFrom(s.piece(1), s.route, s.film[testID('p', 1)], at, grade)
	}
	require.True(t, hard(sprayed, "P800").IsZero(), "no coat is on")
	s.mustDo(t, KindCoat, 1, "cleared", sprayed, cold)
	require.Equal(t, sprayed.Add(40*time.Hour), hard(sprayed, "P800"), "at 10 °C twice 20 h")
	s.mustDo(t, KindCoat, 1, "cleared", sprayed.Add(8*time.Hour), clearCoat(2))
	require.Equal(t, sprayed.Add(28*time.Hour), hard(sprayed.Add(9*time.Hour), "P800"), "8 + 20 h: the last coat counts, as for the step that comes next")
	require.Equal(t, sprayed.Add(56*time.Hour), hard(sprayed.Add(9*time.Hour), "polish"), "8 + 48 h")
	require.Equal(t, sprayed.Add(40*time.Hour), hard(sprayed.Add(7*time.Hour), "P800"), "what comes later is not on yet")
}

func TestHardFromLaws(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	sprayed := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", sprayed, clearCoat(1))
	rapid.Check(t, func(r *rapid.T) {
		at := sprayed.Add(time.Duration(rapid.IntRange(0, 5000).Draw(r, "min")) * time.Minute)
		grade := rapid.SampledFrom([]string{"P800", "P2000", "compound", "polish"}).Draw(r, "grade")
		from := HardFrom(s.piece(1), s.route, s.film[testID('p', 1)], at, grade)
		asks := len(s.judge(KindCutPass, 1, "cleared", at, pass(grade)).Needs) > 0
		require.Equal(r, at.Before(from), asks, "the page's hour and the rule's need are one")
	})
}

// One place says the wait, for the bench and the office.
func TestSoftnessWords(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	sprayed := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", sprayed, clearCoat(1))
	soft := func(after time.Duration) Softness {
		return SoftnessOf(s.piece(1), s.route, s.film[testID('p', 1)], sprayed.Add(after))
	}
	clock := func(at time.Time) string { return at.Sub(sprayed).String() }

	wet := soft(time.Minute)
	require.Equal(t, Softness{Sand: sprayed.Add(20 * time.Hour), Polish: sprayed.Add(48 * time.Hour)}, wet)
	require.Equal(t, "The last coat still hardens: nothing may go before 20h0m0s, no polish before 48h0m0s.", wet.Words(clock))
	require.Equal(t, wet.Sand, wet.Until(LookCut))
	require.Equal(t, wet.Polish, wet.Until(LookFitted), "a fitted piece is polished only")
	require.True(t, wet.Bars("P2000"))

	sandable := soft(20 * time.Hour)
	require.Equal(t, "The last coat still hardens: no compound or polish before 48h0m0s.", sandable.Words(clock))
	require.True(t, sandable.Until(LookCut).IsZero())
	require.False(t, sandable.Bars("P2000"))
	require.True(t, sandable.Bars("compound"))

	require.Equal(t, Softness{}, soft(48*time.Hour), "hard")
	require.Empty(t, soft(48*time.Hour).Words(clock))
	same := Softness{Sand: wet.Sand, Polish: wet.Sand}
	require.Equal(t, "The last coat still hardens: nothing may go before 20h0m0s.", same.Words(clock))
}

// What lies under the clear has no floor and is not polished: only sanding waits.
func TestSoftnessOfAGroundSaysNothingOfTheClear(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	ground := s.materials[theGround]
	ground.Waits = []coating.WaitAt{{TempC: 20, Flash: 10, Recoat: 720, Sand: 960, MaxRecoat: 1440}}
	s.materials[theGround] = ground
	sprayed := s.reach(t, 1, "grounded")
	s.mustDo(t, KindCoat, 1, "grounded", sprayed, Payload{Coat: &Coat{Number: 1, Material: theGround, Lots: []LotUse{{Lot: groundTin}}}})
	soft := func(after time.Duration) Softness {
		return SoftnessOf(s.piece(1), s.route, s.film[testID('p', 1)], sprayed.Add(after))
	}
	clock := func(at time.Time) string { return at.Sub(sprayed).String() }
	require.Equal(t, "The last coat of ground still hardens: no sanding before 16h0m0s.", soft(time.Minute).Words(clock))
	require.Equal(t, Softness{}, soft(16*time.Hour), "hard")
}
