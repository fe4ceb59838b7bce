package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// Coats are 28/32/36 µm, the floor is 50 and the build 120; the warning begins at 60.
func TestStateOfFilm(t *testing.T) {
	t.Parallel()
	coat := coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: coating.Range{Low: 28, Likely: 32, High: 36}}}
	cut := func(um float64) coating.Deed {
		return coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: coating.Exactly(um)}}
	}
	policy := coating.Policy{FloorUM: 50, WarnUM: 10, EdgeFactor: 1, BuildUM: 120}
	for name, tt := range map[string]struct {
		deeds    []coating.Deed
		building bool
		want     FilmState
	}{
		"nothing":                          {nil, true, FilmNone},
		"one coat, 28":                     {[]coating.Deed{coat}, true, FilmBuilding},
		"two coats, 56 at least":           {[]coating.Deed{coat, coat}, true, FilmBuilding},
		"two coats and flatted, 46":        {[]coating.Deed{coat, coat, cut(10)}, true, FilmBuilding},
		"the same, ticked as cleared":      {[]coating.Deed{coat, coat, cut(10)}, false, FilmDoubt},
		"two coats uncut, ticked":          {[]coating.Deed{coat, coat}, false, FilmBuilding},
		"four coats, 112":                  {[]coating.Deed{coat, coat, coat, coat}, false, FilmEnough},
		"four coats cut to 57 at least":    {[]coating.Deed{coat, coat, coat, coat, cut(55)}, false, FilmNear},
		"four coats cut to 42, likely 58":  {[]coating.Deed{coat, coat, coat, coat, cut(70)}, false, FilmDoubt},
		"four coats cut to a likely 38":    {[]coating.Deed{coat, coat, coat, coat, cut(90)}, false, FilmUnder},
		"flatted between, but well enough": {[]coating.Deed{coat, coat, coat, cut(5), coat}, true, FilmEnough},
	} {
		state := StateOfFilm(coating.Measure(tt.deeds, policy), Scheme{FloorUM: 50, BuildUM: 120}, tt.building)
		require.Equal(t, tt.want, state, name)
		require.Equal(t, state == FilmDoubt || state == FilmUnder, state.Alert())
		require.NotEmpty(t, state.Words())
	}
}

func TestBuildingLastsUntilTheClearIsTicked(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	require.True(t, s.piece(1).Building(s.route))
	now := s.cleared(t, 1)
	require.False(t, s.piece(1).Building(s.route))
	s.mustDo(t, KindSendBack, 1, "cleared", now.Add(time.Hour), Payload{Defect: "pop"})
	require.True(t, s.piece(1).Building(s.route))
}
