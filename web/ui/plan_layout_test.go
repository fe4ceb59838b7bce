package ui

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

// tolerance takes up rounding; frames may touch.
const tolerance = 0.01

func overlap(a, b box) bool {
	return a.X+tolerance < b.X+b.W && b.X+tolerance < a.X+a.W && a.Y+tolerance < b.Y+b.H && b.Y+tolerance < a.Y+a.H
}

func within(in, out box) bool {
	return in.X >= out.X-tolerance && in.Y >= out.Y-tolerance && in.X+in.W <= out.X+out.W+tolerance && in.Y+in.H <= out.Y+out.H+tolerance
}

// faults says what is wrong with a zone's picture; "" when nothing is.
func faults(v zoneView, n int) string {
	if len(v.Cells) != n {
		return fmt.Sprintf("%d pieces drawn of %d", len(v.Cells), n)
	}
	sheet := box{W: v.Width, H: v.Height}
	for i, a := range v.Cells {
		if !within(a.Frame, sheet) {
			return fmt.Sprintf("%q lies outside the picture: %+v in %+v", a.Piece.Name, a.Frame, sheet)
		}
		if !within(a.Shape, a.Frame) || a.Chip != nil && !within(*a.Chip, a.Frame) {
			return fmt.Sprintf("%q leaves its frame", a.Piece.Name)
		}
		for _, b := range v.Cells[i+1:] {
			switch {
			case a.Dash && within(b.Frame, a.Shape): // set into the panel
			case overlap(a.Frame, b.Frame):
				return fmt.Sprintf("%q and %q overlap: %+v, %+v", a.Piece.Name, b.Piece.Name, a.Frame, b.Frame)
			}
		}
		for _, d := range v.Dials {
			hole := box{X: d.X - d.R, Y: d.Y - d.R, W: 2 * d.R, H: 2 * d.R}
			if a.Dash != within(hole, a.Frame) || !a.Dash && overlap(hole, a.Frame) {
				return fmt.Sprintf("a dial and %q overlap", a.Piece.Name)
			}
		}
	}
	return lineFaults(v)
}

func lineFaults(v zoneView) string {
	for _, c := range v.Cells {
		for _, l := range c.Lines {
			half := textWidth(l.Text, nameSize) / 2
			if l.X-half < c.Frame.X-1 || l.X+half > c.Frame.X+c.Frame.W+1 || l.Y > c.Frame.Y+c.Frame.H {
				return fmt.Sprintf("the words %q leave their frame", l.Text)
			}
		}
	}
	return ""
}

func pieceGen(zone restoration.Zone) *rapid.Generator[PlanPiece] {
	nouns := []string{
		"windscreen moulding", "instrument panel", "glove-box door", "ash tray", "door panel, front", "rear quarter garnish",
		"centre pillar", "knob", longName, "Türbrüstung", "لوحة العدادات", "前門飾條", "x", "é́́́",
		strings.Repeat("W", 60),
	}
	return rapid.Custom(func(t *rapid.T) PlanPiece {
		return PlanPiece{
			ID:      rapid.StringMatching(`[a-z0-9]{1,8}`).Draw(t, "id"),
			Name:    rapid.OneOf(rapid.SampledFrom(nouns), rapid.StringN(1, 60, -1)).Draw(t, "name"),
			Zone:    zone,
			Side:    rapid.SampledFrom([]string{"", "left", "right"}).Draw(t, "side"),
			Place:   rapid.SampledFrom([]string{"", "front door", "rear door", "quarter", "boot"}).Draw(t, "place"),
			Order:   rapid.IntRange(-3, 40).Draw(t, "order"),
			AreaM2:  rapid.Float64Range(-1, 9).Draw(t, "area"),
			Look:    rapid.SampledFrom(restoration.Looks()).Draw(t, "look"),
			Waiting: rapid.SampledFrom([]string{"", "16:40", "Fri 07:40", "a very long while from now, perhaps"}).Draw(t, "waiting"),
			Trouble: rapid.SampledFrom([]string{"", "held", "sent back to grained"}).Draw(t, "trouble"),
			Fixed:   rapid.Bool().Draw(t, "fixed"),
		}
	})
}

// Whatever the pieces, every one is drawn once, inside the picture, and none
// lies upon another.
func TestPlanNeverOverlaps(t *testing.T) {
	t.Parallel()
	for _, zone := range []restoration.Zone{restoration.ZoneFront, restoration.ZoneLeft, restoration.ZoneRight, restoration.ZoneRear, restoration.ZoneLoose} {
		for _, width := range []float64{narrowZone, halfZone, midZone, wideZone} {
			t.Run(fmt.Sprintf("%s/%v", zone, width), func(t *testing.T) {
				t.Parallel()
				rapid.Check(t, func(t *rapid.T) {
					pieces := rapid.SliceOfN(pieceGen(zone), 1, 40).Draw(t, "pieces")
					if fault := faults(layoutZone(zone, pieces, width), len(pieces)); fault != "" {
						t.Fatal(fault)
					}
				})
			})
		}
	}
}

func TestPlanOfManyPieces(t *testing.T) {
	t.Parallel()
	total := 0
	for _, z := range zones(fixtureMany("")) {
		for _, v := range z.Views {
			require.Empty(t, faults(v.zoneView, len(z.Views[0].Cells)), z.Word)
		}
		total += len(z.Views[0].Cells)
	}
	require.Equal(t, 300, total)
	pieces := fixtureMany("")
	for i := range pieces {
		pieces[i].Zone = restoration.ZoneFront
	}
	require.Empty(t, faults(layoutZone(restoration.ZoneFront, pieces, narrowZone), 300))
}

func TestPlanIsTheSameTwice(t *testing.T) {
	t.Parallel()
	require.Equal(t, zones(fixtureSaloon("")), zones(fixtureSaloon("")))
}

// The same kind of piece with more area is never drawn smaller.
func TestMoreAreaIsNeverSmaller(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom([]form{formSlim, formPanel, formUpright, formSmall}).Draw(t, "form")
		a := rapid.Float64Range(1e-6, 10).Draw(t, "a")
		b := rapid.Float64Range(1e-6, 10).Draw(t, "b")
		w1, h1 := size(f, min(a, b), 200, 300)
		w2, h2 := size(f, max(a, b), 200, 300)
		if w2 < w1 || h2 < h1 {
			t.Fatalf("%v×%v, then %v×%v", w1, h1, w2, h2)
		}
	})
}

func TestFormOf(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]form{
		"garnish moulding, front door": formSlim, "Capping": formSlim, "header rail": formSlim,
		"instrument panel": formPanel, "glove-box door": formPanel, "door panel": formPanel,
		"ash tray": formSmall, "pillar cap": formSmall, "door-pull escutcheon": formSmall, "KNOB": formSmall,
		"centre pillar": formUpright, "thing": formSmall,
	} {
		require.Equal(t, want, formOf(PlanPiece{Name: name, AreaM2: .02}), name)
	}
	require.Equal(t, formPanel, formOf(PlanPiece{Name: "parcel tray", AreaM2: .3}))
	require.Equal(t, formPanel, formOf(PlanPiece{Name: "thing", AreaM2: .3}))
}

func TestSidesMirror(t *testing.T) {
	t.Parallel()
	door := PlanPiece{Name: "capping", Place: "front door", AreaM2: .04}
	quarter := PlanPiece{Name: "capping", Place: "quarter", AreaM2: .04}
	left := layoutZone(restoration.ZoneLeft, []PlanPiece{door, quarter}, halfZone)
	right := layoutZone(restoration.ZoneRight, []PlanPiece{door, quarter}, halfZone)
	x := func(v zoneView, place string) float64 {
		for _, c := range v.Cells {
			if c.Piece.Place == place {
				return c.Frame.X
			}
		}
		t.Fatalf("no piece at %s", place)
		return 0
	}
	require.Greater(t, x(left, "front door"), x(left, "quarter"))
	require.Less(t, x(right, "front door"), x(right, "quarter"))
}

func TestInstrumentPanelHoldsTheSmallPieces(t *testing.T) {
	t.Parallel()
	v := layoutZone(restoration.ZoneFront, []PlanPiece{
		{Name: "ash tray", Zone: restoration.ZoneFront, AreaM2: .008},
		{Name: "windscreen moulding", Zone: restoration.ZoneFront, AreaM2: .05},
		{Name: "instrument panel", Zone: restoration.ZoneFront, AreaM2: .4},
	}, wideZone)
	require.Len(t, v.Dials, 2)
	var dash, tray, moulding cell
	for _, c := range v.Cells {
		switch c.Piece.Name {
		case "instrument panel":
			dash = c
		case "ash tray":
			tray = c
		default:
			moulding = c
		}
	}
	require.True(t, dash.Dash)
	require.True(t, within(tray.Frame, dash.Shape))
	require.Less(t, moulding.Frame.Y+moulding.Frame.H, dash.Frame.Y+tolerance)
}

func TestWrapText(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		name, text string
		width      float64
		most       int
		want       []string
		cut        bool
	}{
		{"fits", "ash tray", 100, 2, []string{"ash tray"}, false},
		{"two lines", "garnish moulding", 70, 2, []string{"garnish", "moulding"}, false},
		{"shortened", "garnish moulding, front door", 70, 2, []string{"garnish", "moulding…"}, true},
		{"one long word", strings.Repeat("m", 60), 60, 2, []string{"mmmm…"}, true},
		{"marks stay with their letter", "é́é́é́", 20, 1, []string{"é́…"}, true},
		{"right to left", "لوحة العدادات", 200, 1, []string{"لوحة العدادات"}, false},
		{"nothing", "", 50, 2, nil, false},
		{"no room", "x", 1, 1, []string{"…"}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			got, cut := wrapText(tt.text, nameSize, tt.width, tt.most)
			require.Equal(t, tt.want, got)
			require.Equal(t, tt.cut, cut)
		})
	}
}

func TestPieceSays(t *testing.T) {
	t.Parallel()
	p := PlanPiece{Name: "ash tray", Look: restoration.LookGrained, Waiting: "Fri 07:40", Trouble: "held", Fixed: true}
	require.Equal(t, "ash tray, grained, waiting until Fri 07:40, held, fixed in the car", p.says())
	require.Equal(t, "glove-box door, left, cut", PlanPiece{Name: "glove-box door", Zone: restoration.ZoneFront, Side: "left", Look: restoration.LookCut}.says())
	require.Equal(t, "door panel, left, cut", PlanPiece{Name: "door panel", Zone: restoration.ZoneLeft, Side: "left", Look: restoration.LookCut}.says())
	require.Equal(t, "ash tray, nickel plated", PlanPiece{Name: "ash tray", Look: restoration.LookOther, Stage: "nickel plated"}.says())
}

func TestPairsStandSideBySide(t *testing.T) {
	t.Parallel()
	v := layoutZone(restoration.ZoneFront, []PlanPiece{
		{Name: "windscreen moulding", Side: "right", AreaM2: .2, Order: 2},
		{Name: "windscreen moulding", Side: "left", AreaM2: .2, Order: 1},
	}, narrowZone)
	require.Equal(t, "left", v.Cells[0].Piece.Side)
	require.InDelta(t, v.Cells[0].Frame.Y, v.Cells[1].Frame.Y, tolerance)
	require.Less(t, v.Cells[0].Frame.X+v.Cells[0].Frame.W, v.Cells[1].Frame.X)
}

func TestPiecesByTheWindscreenStayOutOfThePanel(t *testing.T) {
	t.Parallel()
	v := layoutZone(restoration.ZoneFront, []PlanPiece{
		{Name: "instrument panel", Zone: restoration.ZoneFront, AreaM2: .4}, {Name: "windscreen pillar cap", Zone: restoration.ZoneFront, AreaM2: .01},
	}, wideZone)
	require.Equal(t, "windscreen pillar cap", v.Cells[0].Piece.Name)
	require.False(t, overlap(v.Cells[0].Frame, v.Cells[1].Frame))
}
