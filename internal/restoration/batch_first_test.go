package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A coat a day old with a window of 24 h: what comes later asks for sanding since.
func TestWhatAPieceNeedsFirst(t *testing.T) {
	t.Parallel()
	at := func(hours int) time.Time { return monday.Add(time.Duration(hours) * time.Hour) }
	for name, c := range map[string]struct {
		key  SprayKey
		want First
	}{
		"nothing shuts":                           {SprayKey{Look: LookGrained}, FirstNothing},
		"the step under it shut an hour ago":      {SprayKey{Look: LookGrained, LateFrom: at(-1)}, FirstFlat},
		"bare steel, an hour too long":            {SprayKey{Look: LookStripped, LateFrom: at(-1)}, FirstClean},
		"it shuts this minute":                    {SprayKey{Look: LookStripped, LateFrom: at(0)}, FirstNothing},
		"sanded when it had shut":                 {SprayKey{Look: LookGrained, LateFrom: at(-2), SandedAt: at(-1)}, FirstNothing},
		"sanded before it shut":                   {SprayKey{Look: LookGrained, LateFrom: at(-1), SandedAt: at(-2)}, FirstFlat},
		"the coat before, 25 h ago":               {SprayKey{Coats: 1, CoatedAt: at(-25), MaxRecoat: 1440}, FirstFlat},
		"the coat before, 24 h ago":               {SprayKey{Coats: 1, CoatedAt: at(-24), MaxRecoat: 1440}, FirstNothing},
		"on steel that has its first coat":        {SprayKey{Look: LookStripped, Coats: 1, CoatedAt: at(-25), MaxRecoat: 1440}, FirstFlat},
		"sanded since that coat":                  {SprayKey{Coats: 1, CoatedAt: at(-25), MaxRecoat: 1440, SandedAt: at(-20)}, FirstNothing},
		"sanded before that coat":                 {SprayKey{Coats: 1, CoatedAt: at(-25), MaxRecoat: 1440, SandedAt: at(-26)}, FirstFlat},
		"a coat whose window never shuts":         {SprayKey{Coats: 1, CoatedAt: at(-900)}, FirstNothing},
		"a coat that came before the other shut":  {SprayKey{Coats: 1, CoatedAt: at(-2), MaxRecoat: 1440, LateFrom: at(-1)}, FirstNothing},
		"it shuts before it may be sprayed":       {SprayKey{Look: LookGrained, LateFrom: at(2), GateFrom: at(3)}, FirstFlat},
		"bare steel that may not be sprayed yet":  {SprayKey{Look: LookStripped, LateFrom: at(2), GateFrom: at(3)}, FirstClean},
		"it shuts when it may be sprayed":         {SprayKey{Look: LookGrained, LateFrom: at(3), GateFrom: at(3)}, FirstNothing},
		"an old coat after a window that was met": {SprayKey{Coats: 1, CoatedAt: at(-30), MaxRecoat: 1440, LateFrom: at(-29), SandedAt: at(-31)}, FirstFlat},
	} {
		p := BatchPiece{SprayKey: &c.key, From: c.key.GateFrom, keyed: c.key.SandedAt}
		p.Shuts = p.shuts()
		require.Equal(t, c.want, p.first(monday), name)
	}
}

// Of two pieces the one of .5 m² may be sprayed: .5 × 60 × 2 ÷ .3 × 1.1 + 50 = 270 mL,
// and no set-up is saved.
func TestBatchLeavesShutPiecesOutOfItsFigures(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, two := twoCars()
	shut := shop.add(one, "cleared", .8)
	shut.Coats, shut.CoatedAt, shut.MaxRecoat = 1, monday.Add(-7*24*time.Hour), 1440
	shop.add(two, "cleared", .5).LateFrom = monday.Add(10 * time.Hour)
	b := Batches(shop, monday, 0)[0]
	require.Len(t, b.Pieces, 2)
	require.Equal(t, []First{FirstNothing, FirstFlat}, []First{b.Pieces[0].First, b.Pieces[1].First}, "what can be sprayed stands first")
	require.Equal(t, []int{1, 1, 1}, []int{b.Ready, b.Shut, b.Sprayable()})
	require.Equal(t, "1 to flat first", b.FirstWords())
	require.InDelta(t, .5, b.AreaM2, 1e-9)
	require.Zero(t, b.Pieces[1].ML, "a shut piece takes nothing")
	require.InDelta(t, 135, b.Pieces[0].ML, 1e-6, "of each of 2 coats, all of it")
	require.InDelta(t, 270, b.NeedML, 1e-6)
	require.Zero(t, b.Saved)
	require.Equal(t, monday.Add(10*time.Hour), b.Shuts)

	shop.Keys = shop.Keys[:1]
	b = Batches(shop, monday, 0)[0]
	require.Zero(t, b.Sprayable())
	require.Zero(t, b.AreaM2+b.NeedML+float64(b.Saved)+float64(b.Ready)+float64(b.Coats))

	shop.Keys[0].Coats, shop.Keys[0].CoatedAt = 0, time.Time{}
	shop.Keys[0].LateFrom = monday.Add(-time.Hour)
	steel := shop.add(two, "cleared", .5)
	steel.Look, steel.LateFrom = LookBare, monday.Add(-time.Hour)
	require.Equal(t, "1 to flat first, 1 to clean first", Batches(shop, monday, 0)[0].FirstWords())
}
