package ui

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestStripParts(t *testing.T) {
	t.Parallel()
	// 60 done + 30 + 10 left + 0 + 0 rework = 100 of a scale of 200.
	p := HoursStripProps{Done: 60, Scale: 200, Segments: []StripSegment{{restoration.LookCut, "cut", 30, 0}, {restoration.LookGrained, "", 10, 0}, {restoration.LookPrimed, "primed", 0, 0}}}
	parts := p.parts()
	require.Len(t, parts, 3)
	require.InDelta(t, .30, parts[0].W, 1e-9)
	require.InDelta(t, .30, parts[1].X, 1e-9)
	require.InDelta(t, .15, parts[1].W, 1e-9)
	require.InDelta(t, .05, parts[2].W, 1e-9)
	require.Equal(t, "grained", parts[2].Label)
	require.Equal(t, "60 h done, 40 h left", p.says())
	p.Segments[1].Rework = 4
	require.Equal(t, "60 h done, 40 h left, 4 h of it rework", p.says())
	require.InDelta(t, .03, p.parts()[2].W, 1e-9, "6 h of graining that are no rework")
	require.Equal(t, stripPart{X: .48, W: .02, Kind: "rework", Label: "rework", Hours: 4}, rounded(p.parts()[3]))
}

func rounded(s stripPart) stripPart {
	s.X, s.W = math.Round(s.X*1e6)/1e6, math.Round(s.W*1e6)/1e6
	return s
}

// The legend counts a stage with its rework; the stages add up to what is left.
func TestStripLegend(t *testing.T) {
	t.Parallel()
	p := HoursStripProps{Done: 60, Segments: []StripSegment{{restoration.LookGrained, "grained", 10, 4}, {restoration.LookCut, "cut", 2, 2}}}
	var lines []string
	for _, s := range p.legend() {
		lines = append(lines, s.Label+" "+HoursFloat(s.Hours))
	}
	require.Equal(t, []string{"done 60 h", "grained 10 h", "cut 2 h", "of it rework 6 h"}, lines)
	require.InDelta(t, 12, p.Left(), 1e-9)
	require.Len(t, p.parts(), 3, "the cut is rework alone")
}

func TestStripOfNothing(t *testing.T) {
	t.Parallel()
	require.Empty(t, HoursStripProps{}.parts())
	require.Empty(t, HoursStripProps{Done: math.NaN(), Segments: []StripSegment{{Hours: -1}}}.parts())
	require.Equal(t, "0 h done, 0 h left", HoursStripProps{}.says())
}

// The parts touch, keep their order, and end at the share of the scale that the
// hours fill; a stage with any hours left shows.
func TestStripPartsFillTheirShare(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		hours := rapid.Float64Range(0, 500)
		p := HoursStripProps{Done: hours.Draw(t, "done"), Scale: hours.Draw(t, "scale")}
		for range rapid.IntRange(0, 12).Draw(t, "n") {
			left := hours.Draw(t, "hours")
			p.Segments = append(p.Segments, StripSegment{restoration.LookCut, "cut", left, rapid.Float64Range(0, left).Draw(t, "rework")})
		}
		var x, sum float64
		for _, s := range p.parts() {
			if math.Abs(s.X-x) > 1e-9 || s.W <= 0 {
				t.Fatalf("gap before %+v", s)
			}
			x += s.W
			sum += s.Hours
		}
		if sum == 0 {
			return
		}
		if want := sum / max(sum, p.Scale); math.Abs(x-want) > 1e-6 {
			t.Fatalf("ends at %v, want %v", x, want)
		}
	})
}

func TestPromiseSays(t *testing.T) {
	t.Parallel()
	now := fixtureNow() // Tue 24 Mar 2026, 14:30
	day := 24 * time.Hour
	for _, tt := range []struct {
		name string
		p    PromiseAxisProps
		want string
		late int
	}{
		{"none", PromiseAxisProps{Now: now}, "No date promised yet.", 0},
		{"ahead", PromiseAxisProps{Now: now, Promised: now.Add(4 * day)}, "Promised Sat 28 Mar 2026, in 4 days.", 0},
		{"tomorrow morning", PromiseAxisProps{Now: now, Promised: now.Add(10 * time.Hour)}, "Promised Wed 25 Mar 2026, in 1 day.", 0},
		{"earlier today is not late", PromiseAxisProps{Now: now, Promised: now.Add(-14 * time.Hour)}, "Promised today, Tue 24 Mar 2026.", 0},
		{"late", PromiseAxisProps{Now: now, Promised: now.Add(-3 * day)}, "Late: promised Sat 21 Mar 2026, 3 days ago.", 3},
		{"done is not late", PromiseAxisProps{Now: now, Promised: now.Add(-3 * day), Done: true}, "Promised Sat 21 Mar 2026.", 0},
		{"range", PromiseAxisProps{Now: now, Promised: now.Add(day), Early: now, Late: now.Add(2 * day)},
			"Promised Wed 25 Mar 2026, in 1 day. Expected between Tue 24 Mar 2026 and Thu 26 Mar 2026.", 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, tt.want, tt.p.says())
			require.Equal(t, tt.late, tt.p.late())
			require.Equal(t, tt.late > 0, tt.p.view().Overdue)
		})
	}
}

func TestPromiseAxisKeepsOrder(t *testing.T) {
	t.Parallel()
	now := fixtureNow()
	v := PromiseAxisProps{Start: now.Add(-48 * time.Hour), Now: now, Promised: now.Add(48 * time.Hour)}.view()
	require.InDelta(t, .5/1.06, v.Today.X, 1e-9)
	require.InDelta(t, 1/1.06, v.Promised.X, 1e-9)
	require.Equal(t, "end", v.Promised.Anchor)
	require.Equal(t, "promised 26 Mar", v.Promised.Text)
}
