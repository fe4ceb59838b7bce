package ui

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
	"pgregory.net/rapid"

	"scumble/internal/browsertest"
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// filmOf is a piece of exact films: primer, ground, grain, clear put on, cut off it.
func filmOf(primer, ground, grain, clear, cut float64) FilmProps {
	var d filmDeeds
	put := func(layer coating.Layer, um float64) {
		if um > 0 {
			d = append(d, coating.Deed{Coat: &coating.Coat{Layer: layer, DryUM: coating.Exactly(um), Session: "1"}})
		}
	}
	put(coating.Primer, primer)
	put(coating.Ground, ground)
	put(coating.Grain, grain)
	put(coating.Clear, clear)
	if cut > 0 {
		d = append(d, coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: coating.Exactly(cut)}})
	}
	return d.props("Knob", walnut)
}

// 32 primer + 26 ground + 10 grain + 144 of clear, 26 cut off it: 212 µm of the 250 that
// fill the picture, so a pixel is a µm. The steel begins at 16 + 250 = 266.
func TestFilmHeights(t *testing.T) {
	t.Parallel()
	v := filmOf(32, 26, 10, 144, 26).view(filmPlot)
	require.InDelta(t, 1, v.Scale, 1e-9)
	require.Equal(t, []filmBand{
		{Layer: coating.Primer, Y: 234, H: 32, UM: 32},
		{Layer: coating.Ground, Y: 208, H: 26, UM: 26},
		{Layer: coating.Grain, Y: 198, H: 10, UM: 10},
	}, v.Under)
	require.InDelta(t, 198, v.Zero, 1e-9)
	require.InDelta(t, 198-118, v.Surface, 1e-9, "144 − 26 left")
	require.Equal(t, filmBand{Layer: coating.Clear, Y: 198 - 144, H: 26, UM: 26}, v.Cut)
	require.InDelta(t, 198-50, v.Floor.Y, 1e-9)
	require.InDelta(t, 198-120, v.Build.Y, 1e-9)
	require.Equal(t, filmBand{Y: 198 - 118, H: 68, UM: 68}, v.MayGo, "118 − 50 may go")
	require.InDelta(t, v.Floor.Y, v.MayGo.Y+v.MayGo.H, 1e-9, "down to the floor")
}

// What may go is counted from the low of the clear: 100 likely, 80 low, so 30 to the floor.
func TestFilmMayGoBeginsAtTheLow(t *testing.T) {
	t.Parallel()
	d := filmDeeds{{Coat: &coating.Coat{Layer: coating.Clear, DryUM: coating.Range{Low: 80, Likely: 100, High: 120}, Session: "1"}}}
	v := d.props("Knob", walnut).view(filmPlot)
	require.Equal(t, filmBand{Y: 266 - 80, H: 30, UM: 30}, v.MayGo)
	require.InDelta(t, 266-120, v.High, 1e-9)
}

// Coats of 10, 20 and 30 in two sessions, of 30 and 30, with 15 cut off.
func TestFilmSessionsAndCoats(t *testing.T) {
	t.Parallel()
	var d filmDeeds
	for _, c := range []coating.Coat{{DryUM: coating.Exactly(10), Session: "1"}, {DryUM: coating.Exactly(20), Session: "1"}, {DryUM: coating.Exactly(30), Session: "2"}} {
		c.Layer = coating.Clear
		d = append(d, coating.Deed{Coat: &c})
	}
	d = append(d, coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: coating.Exactly(15)}})
	p := d.props("Knob", walnut)
	p.Coats = []float64{10, 20, 30}
	v := p.view(filmPlot)
	require.Equal(t, []filmBand{
		{Layer: coating.Clear, Name: "1", Y: 266 - 30, H: 30, UM: 30},
		{Layer: coating.Clear, Name: "2", Y: 266 - 45, H: 15, UM: 30},
	}, v.Sessions)
	require.Equal(t, []float64{256, 236}, v.CoatLines)
}

// An ordinary film keeps its scale whatever it is, so that pieces compare; twice what
// fits is drawn at half.
func TestFilmScale(t *testing.T) {
	t.Parallel()
	for clear, want := range map[float64]float64{1: 1, 60: 1, 250: 1, 251: 1 / math.Sqrt2, 500: .5, 501: .5 / math.Sqrt2} {
		require.InDelta(t, want, filmOf(0, 0, 0, clear, 0).view(filmPlot).Scale, 1e-9, "%g µm", clear)
	}
	require.InDelta(t, 128.0/250, filmOf(0, 0, 0, 100, 0).view(filmSmall).Scale, 1e-9)
}

// 2 µm of grain are drawn as 4 pixels, and said to be; the clear upon it stays to scale.
func TestFilmThinLayerIsSeenAndMarked(t *testing.T) {
	t.Parallel()
	p := filmOf(32, 26, 2, 100, 0)
	v := p.view(filmPlot)
	require.Equal(t, filmBand{Layer: coating.Grain, Y: 204, H: 4, UM: 2, Enlarged: true}, v.Under[2])
	require.InDelta(t, 100, v.Zero-v.Surface, 1e-9)
	require.Contains(t, p.scaleWords(v), "Grain: drawn thicker than its 2\u00a0µm")
	require.Contains(t, render(t, FilmSection(p)), "grain* ")
	thick := filmOf(32, 26, 5, 100, 0)
	require.NotContains(t, thick.scaleWords(thick.view(filmPlot)), "*")
}

// Red is never without its word, and never without cause.
func TestFilmState(t *testing.T) {
	t.Parallel()
	ranged := func(low, likely, high, cut float64) FilmProps {
		d := filmDeeds{{Coat: &coating.Coat{Layer: coating.Clear, DryUM: coating.Range{Low: low + cut, Likely: likely + cut, High: high + cut}, Session: "1"}}}
		if cut > 0 {
			d = append(d, coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: coating.Exactly(cut)}})
		}
		return d.props("Knob", walnut)
	}
	for name, c := range map[string]struct {
		p    FilmProps
		want restoration.FilmState
		red  bool
		may  string
	}{
		"nothing":                     {filmOf(30, 0, 0, 0, 0), restoration.FilmNone, false, "nothing"},
		"first coat":                  {ranged(20, 30, 40, 0), restoration.FilmBuilding, false, "nothing"},
		"all of it there":             {ranged(110, 120, 130, 0), restoration.FilmEnough, false, "60 µm"},
		"60 on the floor, just clear": {ranged(60, 70, 80, 20), restoration.FilmEnough, false, "10 µm"},
		"59.9 is within the warning":  {ranged(59.9, 70, 80, 20), restoration.FilmNear, false, "10 µm"},
		"the floor itself":            {ranged(50, 60, 70, 20), restoration.FilmNear, false, "0 µm"},
		"its low is under":            {ranged(49, 60, 70, 20), restoration.FilmDoubt, true, "nothing"},
		"its likely is under":         {ranged(30, 49, 70, 20), restoration.FilmUnder, true, "nothing"},
		"built, but in doubt":         {ranged(40, 130, 200, 0), restoration.FilmDoubt, true, "nothing"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, c.want, c.p.state())
			require.Equal(t, c.may, c.p.mayGo())
			page := render(t, FilmNow(c.p)) + render(t, FilmSection(c.p))
			require.Equal(t, c.red, strings.Contains(page, "film-red"))
			require.Equal(t, c.red, strings.Contains(page, "film-alert"))
			if c.red || c.want == restoration.FilmNear {
				require.Equal(t, 2, strings.Count(page, ">"+c.want.Words()+"<"))
			}
		})
	}
}

func TestFilmByGauge(t *testing.T) {
	t.Parallel()
	p := fixtureGauged()
	v := p.view(filmPlot)
	// The right end: 146 − 60 = 86, give or take 1.96·√(4/3 + 4/3) = 3.2.
	require.InDelta(t, 86, v.Zero-v.Surface, 1e-9)
	require.InDelta(t, 86-3.2, v.Zero-v.Low, .01)
	require.Len(t, v.Spots, 4)
	require.InDelta(t, 111, v.Zero-v.Spots[1].Mid, 1e-9, "169 − 58")
	require.False(t, v.Spots[3].Measured, "a baseline alone")
	require.Contains(t, p.besides(), "The gauge decides; coats and cuts alone would leave about 112 µm (86–138 µm).")
	rows := p.rows()
	require.Equal(t, filmRow{Name: "clear, by gauge", Note: "the lowest measured spot", Left: "86", Range: "83–89", Strong: true}, rows[0])
	require.Equal(t, filmRow{Name: "clear, by coats and cuts", Note: "Trim clear MS", On: "136", Off: "24", Left: "112", Range: "86–138"}, rows[1])
	require.Equal(t, filmRow{Name: "session 2", On: "68", Part: true}, rows[2])
}

// What came after a reading is said beside it, at each spot and of the clear.
func TestFilmSaysWhatCameAfterTheGauge(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		since                coating.Since
		by, spot, row, cells string
	}{
		"nothing": {coating.Since{}, "by gauge", "", "the lowest measured spot", ""},
		"a pass":  {coating.Since{Cut: true}, "by gauge, less the cut since", "before the last cut", "the lowest measured spot, less the cut since", "before the last cut, Fri 27 Mar 2026, 14:30"},
		"a coat":  {coating.Since{Coated: true}, "by gauge, with the coats since", "before the last coat", "the lowest measured spot, with the coats since", "before the last coat, Fri 27 Mar 2026, 14:30"},
		"of both": {coating.Since{Coated: true, Cut: true}, "by gauge, with the coats and less the cuts since", "before the last coat and cut", "the lowest measured spot, with the coats and less the cuts since", "before the last coat and cut, Fri 27 Mar 2026, 14:30"},
	} {
		p := fixtureGauged()
		p.Film.Since = c.since
		for i := range p.Film.Spots {
			p.Film.Spots[i].Since = c.since
		}
		require.Equal(t, c.by, p.byGauge(), name)
		require.Equal(t, c.row, p.rows()[0].Note, name)
		require.Equal(t, c.spot, p.before(p.Film.Spots[0]), name)
		require.Empty(t, p.before(p.Film.Spots[3]), "a baseline alone")
		p.ReadAt = map[string]string{"left end": "Fri 27 Mar 2026, 14:30"}
		require.Equal(t, c.cells, p.before(p.Film.Spots[0]), name)
		require.Contains(t, render(t, FilmNow(p)), ">"+c.by+"<", name)
	}
}

// Primer that was blocked stands as sprayed, unless somebody logged what went off; the
// gauge tells what is truly there.
func TestFilmUnderTheClearIsAsSprayed(t *testing.T) {
	t.Parallel()
	var d filmDeeds
	d.coat(coating.Primer, 40, "")
	require.Empty(t, d.props("Knob", walnut).asSprayed(), "not covered yet")
	d.coat(coating.Filler, 90, "")
	require.Empty(t, d.props("Knob", walnut).asSprayed())
	blocked := append(slices.Clone(d), coating.Deed{Cut: &coating.Cut{Layer: coating.Filler, OffUM: about(40, .25)}})
	blocked.coat(coating.Ground, 14, "")
	require.Empty(t, blocked.props("Knob", walnut).asSprayed(), "what went off is logged")
	d.coat(coating.Ground, 14, "")
	const says = "Primer and filler as sprayed: what blocking took off is not logged."
	require.Equal(t, says, d.props("Knob", walnut).asSprayed())
	d.gauge("left end", 101, true)
	d.gauge("middle", 97, true)
	d.clears(1, 1, 34)
	p := d.props("Knob", walnut)
	require.Equal(t, says+" The gauge read 97–101 µm of all film under the clear.", p.asSprayed())
	require.Contains(t, p.besides(), p.asSprayed())
}

// A spot that is thicker than all else stays in the picture: 400 µm and its doubt need
// half the scale.
func TestFilmThickSpotIsSeen(t *testing.T) {
	t.Parallel()
	var d filmDeeds
	for _, s := range []struct {
		name  string
		clear float64
	}{{"thin", 60}, {"thick", 400}} {
		d.gauge(s.name, 60, true)
		d.gauge(s.name, 60+s.clear, false)
	}
	v := d.props("Knob", walnut).view(filmPlot)
	require.InDelta(t, .5, v.Scale, 1e-9)
	require.InDelta(t, v.Zero-200, v.Spots[1].Mid, 1e-9)
	require.GreaterOrEqual(t, v.Spots[1].High, filmAir)
}

// In mils the ruler counts mils: 25.4 µm apart, the floor of 50 µm just under the second.
func TestFilmInMils(t *testing.T) {
	t.Parallel()
	p := filmOf(0, 0, 0, 118, 0)
	p.Units = restoration.US
	v := p.view(filmPlot)
	require.Equal(t, "2", v.Ticks[2].Text)
	require.InDelta(t, 2*25.4, v.Zero-v.Ticks[2].Y, 1e-9)
	require.Equal(t, "mil", p.unit())
	require.Equal(t, "0.87–1.18 mil", p.span(coating.Range{Low: 22, Likely: 26, High: 30}))
	require.Equal(t, "4.65", p.rows()[0].Left)
}

// The picture says the sentence to whoever can't see it.
func TestFilmTellsItsSentence(t *testing.T) {
	t.Parallel()
	p := filmOf(32, 26, 2, 144, 26)
	for name, page := range map[string]string{"section": render(t, FilmSection(p)), "bench": render(t, FilmNow(p))} {
		i := slices.IndexFunc(parse(t, page), func(n *html.Node) bool { return n.Data == "svg" && attribute(n, "role") == "img" })
		require.GreaterOrEqual(t, i, 0, name)
		require.Contains(t, page, "<title>Knob: "+restoration.FilmSentence(p.Film, p.Finish, p.Units)+"</title>", name)
	}
}

// While the last coat hardens, and once nothing is left to do, the picture invites nobody
// to cut.
func TestFilmAtRestInvitesNoCut(t *testing.T) {
	t.Parallel()
	soft := restoration.Softness{Sand: time.Date(2026, 3, 30, 4, 19, 0, 0, time.UTC), Polish: time.Date(2026, 3, 31, 8, 0, 0, 0, time.UTC)}
	now := time.Date(2026, 3, 29, 9, 0, 0, 0, time.UTC)
	wet := filmOf(32, 26, 2, 144, 26).Hardening(soft, restoration.LookCut, now, time.UTC)
	done := filmOf(32, 26, 2, 144, 26)
	done.Finished = true
	for name, p := range map[string]FilmProps{"wet": wet, "finished": done} {
		page := render(t, FilmSection(p))
		require.NotContains(t, page, "68\u00a0µm may go", name)
		require.Contains(t, page, "68\u00a0µm above the floor of 50\u00a0µm.", name)
		require.Contains(t, page, "68 µm</tspan> above the floor", name)
	}
	require.Contains(t, render(t, FilmSection(wet)), "nothing may go before Mon 04:19, no polish before Tue 08:00.")
	require.Contains(t, render(t, FilmNow(wet)), "<b>nothing</b> may go before <b>Mon 04:19</b>")

	fitted := filmOf(32, 26, 2, 144, 26).Hardening(restoration.Softness{Polish: soft.Polish}, restoration.LookFitted, now, time.UTC)
	require.Equal(t, "Tue 08:00", fitted.Soft, "at fitting the clear is polished only")
	hard := fitted.Hardening(restoration.Softness{}, restoration.LookCut, now, time.UTC)
	require.False(t, hard.atRest())
}

func TestSpreadLabels(t *testing.T) {
	t.Parallel()
	list := spread([]filmLabel{{At: 100}, {At: 20}, {At: 102, Note: "two lines"}, {At: 101}}, 10, 140)
	for i := 1; i < len(list); i++ {
		require.GreaterOrEqual(t, list[i].Y, list[i-1].Y-filmLine/2+list[i-1].height()+filmLine/2-1e-9)
	}
	last := list[len(list)-1]
	require.InDelta(t, 20, list[0].Y, 1e-9, "what has room stays")
	require.LessOrEqual(t, last.Y-filmLine/2+last.height(), 140+1e-9)
}

// drawDeeds draws what may have been done to a piece, sense or nonsense.
func drawDeeds(t *rapid.T) []coating.Deed {
	layer := rapid.SampledFrom(coating.Layers())
	um := rapid.OneOf(rapid.Float64Range(0, 400), rapid.SampledFrom([]float64{0, 1e-9, 1e12, math.MaxFloat64}))
	film := rapid.Custom(func(t *rapid.T) coating.Range {
		three := []float64{um.Draw(t, "a"), um.Draw(t, "b"), um.Draw(t, "c")}
		slices.Sort(three)
		return coating.Range{Low: three[0], Likely: three[1], High: three[2]}
	})
	word := rapid.SampledFrom([]string{"1", "2", "left end", "<b>"})
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) coating.Deed {
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 0:
			return coating.Deed{Coat: &coating.Coat{Layer: layer.Draw(t, "layer"), DryUM: film.Draw(t, "film"), Session: word.Draw(t, "session")}}
		case 1:
			return coating.Deed{Cut: &coating.Cut{Layer: layer.Draw(t, "layer"), OffUM: film.Draw(t, "film")}}
		}
		return coating.Deed{Gauge: &coating.Gauge{Spot: word.Draw(t, "spot"), MeanUM: rapid.Float64Range(0, 2000).Draw(t, "mean"), N: 3, SigmaUM: 2, Baseline: rapid.Bool().Draw(t, "baseline")}}
	}), 0, 12).Draw(t, "deeds")
}

func drawFilm(t *rapid.T) FilmProps {
	p := FilmProps{Label: "Knob", Units: rapid.SampledFrom([]restoration.Units{restoration.Metric, restoration.US}).Draw(t, "units")}
	limit := rapid.SampledFrom([]float64{0, 50, 120, 2000, math.NaN(), math.Inf(1)})
	p.Finish.FloorUM, p.Finish.BuildUM = limit.Draw(t, "floor"), limit.Draw(t, "build")
	p.Coats = rapid.SliceOfN(rapid.Float64(), 0, 5).Draw(t, "coats")
	policy := coating.UsualPolicy()
	policy.FloorUM, policy.BuildUM = p.Finish.FloorUM, p.Finish.BuildUM
	policy.EdgeFactor = rapid.SampledFrom([]float64{1, .5}).Draw(t, "edge")
	p.Film = coating.Measure(drawDeeds(t), policy)
	return p
}

// Whatever was logged, the picture holds only numbers, and none of its heights is negative.
func TestFilmAttributesAreNumbers(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		p := drawFilm(r)
		var b strings.Builder
		require.NoError(r, FilmSection(p).Render(t.Context(), &b))
		require.NoError(r, FilmNow(p).Render(t.Context(), &b))
		root, err := html.Parse(strings.NewReader(b.String()))
		require.NoError(r, err)
		for n := range root.Descendants() {
			for _, a := range n.Attr {
				require.NotContains(r, a.Val, "NaN", "%s %s", n.Data, a.Key)
				require.NotContains(r, a.Val, "Inf", "%s %s", n.Data, a.Key)
				if slices.Contains([]string{"y", "y1", "y2", "cy", "height"}, a.Key) {
					v, err := strconv.ParseFloat(a.Val, 64)
					require.NoError(r, err, "%s %s", n.Data, a.Key)
					require.True(r, a.Key != "height" || v >= 0, "height %g", v)
				}
			}
		}
	})
}

// Whatever was logged, layers touch from the steel up, stay in the picture, and every
// height of the clear is its µm times the scale.
func TestFilmIsToScale(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(r *rapid.T) {
		p := drawFilm(r).sound()
		v := p.view(filmPlot)
		at := v.Base
		for _, b := range v.Under {
			require.InDelta(r, at, b.Y+b.H, 1e-6)
			require.Equal(r, b.Enlarged, b.H > b.UM*v.Scale+1e-9)
			if !b.Enlarged {
				require.InDelta(r, b.UM*v.Scale, b.H, 1e-6)
			}
			at = b.Y
		}
		require.InDelta(r, at, v.Zero, 1e-6)
		require.InDelta(r, p.Film.Clear.Likely*v.Scale, v.Zero-v.Surface, 1e-6)
		require.InDelta(r, v.Cut.UM*v.Scale, v.Cut.H, 1e-6)
		require.InDelta(r, p.Finish.FloorUM*v.Scale, v.Zero-v.Floor.Y, 1e-6)
		top := min(v.Cut.Y, v.High, v.Floor.Y, v.Build.Y)
		for _, s := range v.Spots {
			if s.Measured {
				top = min(top, s.High)
			}
		}
		require.GreaterOrEqual(r, top, filmAir-1e-6)
		left := v.Zero
		for _, s := range v.Sessions {
			require.InDelta(r, left, s.Y+s.H, 1e-6)
			left = s.Y
		}
		if len(v.Sessions) > 0 {
			require.InDelta(r, v.Surface, left, 1e-6)
		}
		require.LessOrEqual(r, len(v.Ticks), 20)
	})
}

// What the picture writes upon its own paints: figures of spots on their halo, sessions
// on the clear at its lightest and darkest. 7 to 1 (AAA), as the bench shows it too.
func TestFilmContrast(t *testing.T) {
	t.Parallel()
	for _, pair := range [][2]string{{"#0b4a8f", "#fffaf0"}, {"#850f20", "#fffaf0"}, {"#4d3208", "#f8e4b9"}, {"#4d3208", "#ecc988"}, {"#4d3208", "#fdf0cd"}} {
		require.GreaterOrEqual(t, contrast(t, pair[0], pair[1]), 7.0, "%s on %s", pair[0], pair[1])
	}
}

// The film's pages hold what the others do: no barrier, nothing wider than the screen.
func TestFilmPagesInTheBrowser(t *testing.T) {
	t.Parallel()
	d := newDesk(t)
	for _, size := range browsertest.AllDevices {
		d.Resize(size)
		for _, face := range []string{"film", "film-bench"} {
			d.Go("/gallery/" + face)
			require.Empty(t, d.Barriers())
		}
	}
}
