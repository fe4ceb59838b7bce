package restoration

import (
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// A panel of 0.42 m², 0.9 on both faces; 30 % lands, 10 % is waste and 45 mL are lost. Two
// coats of clear of 64 µm, a third would be over the session's 75 µm: 0.42 × 64 × 2 ÷ 0.3
// × 1.1 + 45 = 242 mL are poured as 250. Two of ground of 50 µm on both faces: 0.9 × 50 × 2
// ÷ 0.3 × 1.1 + 45 = 375 mL, as 380. Of either, half is the one coat's. In fluid ounces the
// 242 mL are 8.19, poured as 8½: 251 mL.
func TestSheetMLOfOneCoat(t *testing.T) {
	t.Parallel()
	panel := Details{Name: "panel", Zone: ZoneFront, AreaM2: .42, BothM2: .9}
	for name, c := range map[string]struct {
		stage    string
		material int64
		change   func(*Piece, *Material, *FilmScene)
		want     float64
	}{
		"clear":                    {"cleared", theClear, nil, 125},
		"ground on both faces":     {"grounded", theGround, nil, 190},
		"in fluid ounces":          {"cleared", theClear, func(_ *Piece, _ *Material, sc *FilmScene) { sc.Units = US }, 126},
		"a material retired since": {"cleared", theClear, func(_ *Piece, m *Material, _ *FilmScene) { m.Retired = monday }, 125},
		"another than the scheme's": {"cleared", theClear, func(_ *Piece, _ *Material, sc *FilmScene) {
			sc.Scheme.Materials = map[coating.Layer]int64{coating.Clear: 99}
		}, 125},
		"no area":                  {"cleared", theClear, func(p *Piece, _ *Material, _ *FilmScene) { p.AreaM2, p.BothM2 = 0, 0 }, 0},
		"no wet film on the sheet": {"cleared", theClear, func(_ *Piece, m *Material, _ *FilmScene) { m.WetUM = m.WetUM.Times(0) }, 0},
		"where nothing is sprayed": {"blocked", theClear, nil, 0},
	} {
		s := newFilmShop(panel)
		p, m := s.piece(1), s.materials[c.material]
		if c.change != nil {
			c.change(&p, &m, &s.scene)
		}
		require.InDelta(t, c.want, SheetML(p, s.route, s.step(1, c.stage).ID, m, s.scene), 1e-9, name)
	}
}

// What is on the step by now leaves the share of its coats as it was.
func TestSheetMLDoesNotFallWithTheCoats(t *testing.T) {
	t.Parallel()
	s := newFilmShop(Details{Name: "panel", Zone: ZoneFront, AreaM2: .42})
	s.cleared(t, 1)
	require.InDelta(t, 125, SheetML(s.piece(1), s.route, s.step(1, "cleared").ID, s.materials[theClear], s.scene), 1e-9)
}
