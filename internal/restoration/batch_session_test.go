package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

func TestLastSession(t *testing.T) {
	t.Parallel()
	at := func(hours ...float64) (list []time.Time) {
		for _, h := range hours {
			list = append(list, monday.Add(-time.Duration(h*float64(time.Hour))))
		}
		return list
	}
	for name, c := range map[string]struct {
		at   []time.Time
		dry  []float64
		want float64
	}{
		"no coat":                  {nil, nil, 0},
		"one":                      {at(1), []float64{30}, 30},
		"two of a visit":           {at(1, 2), []float64{30, 28}, 58},
		"six hours are one visit":  {at(1, 7), []float64{30, 28}, 58},
		"more are two":             {at(1, 7.1), []float64{30, 28}, 30},
		"a chain over half a day":  {at(1, 6, 11, 16), []float64{10, 20, 30, 40}, 100},
		"in any order":             {at(21, 2, 20, 1), []float64{40, 20, 30, 10}, 30},
		"what lies before the gap": {at(1, 2, 20, 21), []float64{10, 20, 30, 40}, 30},
	} {
		require.InDelta(t, c.want, lastSession(c.at, c.dry), 1e-9, name)
	}
}

// Coats of 60 µm wet and half solids are 30 µm dry, the limit is 75 µm: two a session.
// A coat cures 16 h before it may be flatted.
func TestBatchOffersWhatTheSessionHolds(t *testing.T) {
	t.Parallel()
	one, _ := twoCars()
	hours := func(h float64) time.Time { return monday.Add(time.Duration(h * float64(time.Hour))) }
	for name, c := range map[string]struct {
		key   SprayKey
		limit float64 // of the sheet; 0 the shop's 75
		coats int
		first First
		from  time.Time
	}{
		"none is on":                   {SprayKey{}, 0, 2, FirstNothing, time.Time{}},
		"one is on: 45 µm are left":    {SprayKey{Coats: 1, CoatedAt: hours(-1), SessionUM: 30}, 0, 1, FirstNothing, hours(-1 + 1./6)},
		"one of 45: 30 are left, just": {SprayKey{Coats: 1, CoatedAt: hours(-1), SessionUM: 45}, 0, 1, FirstNothing, hours(-1 + 1./6)},
		"one of 46: none fits":         {SprayKey{Coats: 1, CoatedAt: hours(-1), SessionUM: 46, Sand: 960}, 0, 2, FirstCure, hours(15)},
		"two are on: it cures 16 h":    {SprayKey{Coats: 2, CoatedAt: hours(-1), SessionUM: 60, Sand: 960}, 0, 2, FirstCure, hours(15)},
		"no wait said: the stage's":    {SprayKey{Coats: 2, CoatedAt: hours(-1), SessionUM: 60}, 0, 2, FirstCure, hours(23)},
		"two are on, cured":            {SprayKey{Coats: 2, CoatedAt: hours(-17), SessionUM: 60, Sand: 960}, 0, 2, FirstFlat, hours(-1)},
		"two are on, flatted":          {SprayKey{Coats: 2, CoatedAt: hours(-17), SessionUM: 60, Sand: 960, SandedAt: hours(-1)}, 0, 2, FirstNothing, hours(-11)},
		"flatted while soft: it cures": {SprayKey{Coats: 2, CoatedAt: hours(-2), SessionUM: 60, Sand: 960, SandedAt: hours(-1)}, 0, 2, FirstCure, hours(14)},
		"hard at once: next session":   {SprayKey{Coats: 2, CoatedAt: hours(-2), SessionUM: 60, Sand: 60, SandedAt: hours(-1)}, 0, 2, FirstNothing, hours(4)},
		"polished is not flatted":      {SprayKey{Coats: 2, CoatedAt: hours(-17), SessionUM: 60, Sand: 960, SandedAt: hours(-1), Grade: "polish"}, 0, 2, FirstFlat, hours(-1)},
		"one is on from yesterday":     {SprayKey{Coats: 1, CoatedAt: hours(-20), SessionUM: 30, Sand: 960}, 0, 2, FirstNothing, hours(-20 + 1./6)},
		"one is left of the scheme":    {SprayKey{Coats: 3, CoatedAt: hours(-17), SessionUM: 30, Sand: 960}, 0, 1, FirstNothing, hours(-17 + 1./6)},
		"the sheet allows 100":         {SprayKey{}, 100, 3, FirstNothing, time.Time{}},
		"100, one is on: 70 are left":  {SprayKey{Coats: 1, CoatedAt: hours(-1), SessionUM: 30}, 100, 2, FirstNothing, hours(-1 + 1./6)},
		"a limit under one coat":       {SprayKey{}, 20, 1, FirstNothing, time.Time{}},
	} {
		shop := sprayShop()
		shop.Materials[0].Limits.SessionMaxUM = c.limit
		k := shop.add(one, "cleared", .2)
		c.key.Car, c.key.PieceID, c.key.StepID, c.key.RouteID, c.key.Stage, c.key.AreaM2 = k.Car, k.PieceID, k.StepID, k.RouteID, k.Stage, k.AreaM2
		*k = c.key
		list := Batches(shop, monday, 72*time.Hour)
		require.Len(t, list, 1, name)
		p := list[0].Pieces[0]
		require.Equal(t, c.coats, p.Coats, name)
		require.Equal(t, c.first, p.First, name)
		require.WithinDuration(t, c.from, p.From, time.Second, name)
		require.Equal(t, c.first != FirstNothing, p.Full, name)
		if c.first == FirstCure {
			require.Empty(t, Batches(shop, monday, 4*time.Hour), "%s: what cures beyond the horizon waits", name)
		}
	}
}

// A build of 120 µm in coats of 30.
func TestBatchBuildsUpClearThatWasKept(t *testing.T) {
	t.Parallel()
	g := newGrouping(sprayShop(), monday, 0, nil)
	clear := &g.shop.Materials[0]
	for name, c := range map[string]struct {
		kept   float64
		on     int
		scheme int
		want   int
	}{
		"nothing kept: the scheme's": {0, 0, 4, 4},
		"60 are missing":             {60, 0, 4, 2},
		"61 are missing":             {59, 0, 4, 3},
		"enough is on: one to renew": {150, 0, 4, 1},
		"that one is on":             {150, 1, 4, 0},
		"60 missing, one is on":      {60, 1, 4, 1},
		"never over the scheme's":    {1, 0, 3, 3},
	} {
		s := Scheme{ClearCoats: c.scheme, BuildUM: 120}
		require.Equal(t, c.want, g.coatsLeft(coating.Clear, clear, s, &SprayKey{KeptUM: c.kept, Coats: c.on}), name)
	}
}

// Whatever was sprayed, what is offered fits into the session, or the piece is flatted
// first; and never more than the scheme asks for.
func TestBatchSessionLaw(t *testing.T) {
	t.Parallel()
	one, _ := twoCars()
	rapid.Check(t, func(t *rapid.T) {
		shop := sprayShop()
		k := shop.add(one, "cleared", .2)
		k.Coats = rapid.IntRange(1, 3).Draw(t, "coats")
		k.SessionUM = rapid.Float64Range(1, 120).Draw(t, "session")
		k.CoatedAt = monday.Add(-time.Duration(rapid.IntRange(10, 3000).Draw(t, "minutes")) * time.Minute)
		for _, b := range Batches(shop, monday, 0) {
			p := b.Pieces[0]
			require.LessOrEqual(t, p.Coats+k.Coats, StockClearCoats)
			if monday.Sub(k.CoatedAt) <= sessionGap {
				require.Equal(t, FirstNothing, p.First)
				require.LessOrEqual(t, k.SessionUM+30*float64(p.Coats), shop.Film.SessionUM+1e-6)
			}
			if p.First == FirstNothing {
				require.LessOrEqual(t, k.SessionUM+30, shop.Film.SessionUM+1e-6)
			}
		}
	})
}

func TestWhatAPieceNeedsFirstInWords(t *testing.T) {
	t.Parallel()
	clock := func(at time.Time) string { return at.Format("Mon 15:04") }
	nine := monday.Add(time.Hour)
	for want, p := range map[string]BatchPiece{
		"": {},
		"cures until " + clock(nine) + ", then flat":                             {First: FirstCure, From: nine, Full: true},
		"session is full and cured: flat first":                                  {First: FirstFlat, Full: true},
		"window shuts " + clock(nine) + ", before it may be sprayed: flat first": {First: FirstFlat, Shuts: nine},
		"recoat window shut: clean first":                                        {First: FirstClean, Shuts: monday.Add(-time.Hour)},
	} {
		require.Equal(t, want, p.FirstWords(monday, clock))
	}
}

// Two pieces of .8 and .5 m²: the second alone takes .5 × 60 × 2 ÷ .3 × 1.1 + 50 =
// 270 mL. A shut piece that was picked counts.
func TestBatchOfWhatWasPicked(t *testing.T) {
	t.Parallel()
	shop := sprayShop()
	one, two := twoCars()
	shop.add(one, "cleared", .8)
	shop.add(two, "cleared", .5)
	first, second := shop.Keys[0].StepID, shop.Keys[1].StepID
	all := Batches(shop, monday, 0)[0]
	b, ok := BatchOf(shop, all.Key, map[ID]bool{second: true}, monday, 0)
	require.True(t, ok)
	require.Len(t, b.Pieces, 2, "what was taken out stands there still")
	require.Equal(t, []int{1, 2, 0}, []int{b.Taken, b.Ready, b.Shut})
	require.InDelta(t, .5, b.AreaM2, 1e-9)
	require.InDelta(t, 270, b.NeedML, 1e-6)
	require.Zero(t, b.Pieces[0].ML)
	require.Zero(t, b.Saved)

	shop.Keys[0].LateFrom = monday.Add(-time.Hour)
	b, _ = BatchOf(shop, all.Key, map[ID]bool{first: true, second: true}, monday, 0)
	require.Equal(t, []int{2, 1, 1}, []int{b.Taken, b.Ready, b.Shut})
	require.InDelta(t, all.NeedML, b.NeedML, 1e-6)

	b, ok = BatchOf(shop, all.Key, nil, monday, 0)
	require.True(t, ok)
	require.Zero(t, b.NeedML+b.AreaM2, "none is picked")
	_, ok = BatchOf(shop, "gilded", nil, monday, 0)
	require.False(t, ok)
}
