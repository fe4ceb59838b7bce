package labels

import (
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestPresetsFitTheirPages(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for _, p := range Presets(restoration.Metric) {
		require.Empty(t, p.Check(restoration.Metric), p.Key)
		require.False(t, seen[p.Key], p.Key)
		seen[p.Key] = true
		found, ok := FindPreset(p.Key)
		require.True(t, ok)
		require.Equal(t, p, found)
	}
	_, ok := FindPreset("none")
	require.False(t, ok)
}

// A sheet of US letter is cut in inches: 2.625 in are 66.675 mm.
func TestPresetsSpeakTheShopsUnits(t *testing.T) {
	t.Parallel()
	words := func(units restoration.Units) (list []string) {
		for _, p := range Presets(units) {
			list = append(list, p.Words(units))
		}
		return list
	}
	require.Equal(t, []string{"A4, 3 × 8 of 70 × 37 mm", "A4, 3 × 7 of 63.5 × 38.1 mm", "A4, 2 × 7 of 99.1 × 38.1 mm", "A4, 5 × 13 of 38.1 × 21.2 mm",
		"Single labels of 62 × 29 mm", "US letter, 3 × 10 of 66.7 × 25.4 mm", "US letter, 2 × 5 of 101.6 × 50.8 mm"}, words(restoration.Metric))
	require.Equal(t, []string{"US letter, 3 × 10 of 2.625 × 1 in", "US letter, 2 × 5 of 4 × 2 in", "Single labels of 2.441 × 1.142 in",
		"A4, 3 × 8 of 2.756 × 1.457 in", "A4, 3 × 7 of 2.5 × 1.5 in", "A4, 2 × 7 of 3.902 × 1.5 in", "A4, 5 × 13 of 1.5 × 0.835 in"}, words(restoration.US))
	p, _ := FindPreset("letter-30")
	require.InDelta(t, 215.9, p.PageW, 1e-9)
	require.InDelta(t, 279.4, p.PageH, 1e-9)
	require.InDelta(t, 66.675, p.LabelW, 1e-9)
}

func TestPresetOfRoundedDimensions(t *testing.T) {
	t.Parallel()
	p, _ := FindPreset("letter-30")
	rounded := p.LabelSheet
	rounded.Left, rounded.LabelW, rounded.StepX = 4.8, 66.7, 69.8
	found, ok := PresetOf(rounded)
	require.True(t, ok)
	require.Equal(t, "letter-30", found.Key)
	rounded.LabelW = 66.5
	_, ok = PresetOf(rounded)
	require.False(t, ok)
	rounded = p.LabelSheet
	rounded.Rows = 9
	_, ok = PresetOf(rounded)
	require.False(t, ok)
}

func TestSlots(t *testing.T) {
	t.Parallel()
	p, _ := FindPreset("a4-21")
	pages := Slots(p.LabelSheet, 20, 4)
	require.Len(t, pages, 2)
	require.Len(t, pages[0], 2, "the twentieth and the last of the first page")
	require.Len(t, pages[1], 2)
	require.InDelta(t, 7.2+66, pages[0][0].X, 1e-9)
	require.InDelta(t, 15.1+6*38.1, pages[0][0].Y, 1e-9)
	require.InDelta(t, 7.2+2*66, pages[0][1].X, 1e-9)
	require.Equal(t, Slot{7.2, 15.1, 63.5, 38.1}, pages[1][0])
	for _, start := range []int{-1, 0, 1, 22} {
		require.Equal(t, Slot{7.2, 15.1, 63.5, 38.1}, Slots(p.LabelSheet, start, 1)[0][0], "%d is not on the page", start)
	}
	require.Empty(t, Slots(p.LabelSheet, 1, 0))
}

// Whatever sheet passes its check: no two labels overlap, all are within the page, and
// every label has its place.
func TestSlotsNeverOverlap(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		mm := func(name string, most float64) float64 { return rapid.Float64Range(0, most).Draw(t, name) }
		s := restoration.LabelSheet{PageW: mm("page_w", 420), PageH: mm("page_h", 420), Left: mm("left", 30), Top: mm("top", 30),
			LabelW: mm("label_w", 120), LabelH: mm("label_h", 60), StepX: mm("step_x", 130), StepY: mm("step_y", 70),
			Cols: rapid.IntRange(1, 6).Draw(t, "cols"), Rows: rapid.IntRange(1, 12).Draw(t, "rows")}
		if len(s.Check(restoration.Metric)) > 0 {
			s = rapid.SampledFrom(Presets(restoration.Metric)).Draw(t, "preset").LabelSheet
		}
		n := rapid.IntRange(0, 90).Draw(t, "n")
		sum := 0
		for _, page := range Slots(s, rapid.IntRange(-2, s.Cols*s.Rows+2).Draw(t, "start"), n) {
			require.NotEmpty(t, page)
			sum += len(page)
			for i, a := range page {
				require.True(t, a.X >= 0 && a.Y >= 0 && a.X+a.W <= s.PageW+0.051 && a.Y+a.H <= s.PageH+0.051, "%v on %v", a, s)
				for _, b := range page[:i] {
					apart := b.X+b.W <= a.X+0.051 || a.X+a.W <= b.X+0.051 || b.Y+b.H <= a.Y+0.051
					require.True(t, apart, "%v and %v", a, b)
				}
			}
		}
		require.Equal(t, n, sum)
	})
}
