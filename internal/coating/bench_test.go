package coating_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// longStory is a piece with n deeds: two spots, coats of clear with a flatting pass after
// every third, and measurements now and then.
func longStory(n int) []coating.Deed {
	story := []coating.Deed{on(coating.Ground, 16), on(coating.Grain, 3), baseline("A", 200, 201, 202), baseline("B", 203, 204, 205)}
	for i := len(story); i < n; i++ {
		switch {
		case i%10 == 9:
			story = append(story, gauge("A", 300, 301, 302))
		case i%4 == 3:
			story = append(story, cut(3, 4.5, 6))
		default:
			story = append(story, coat(fmt.Sprint("session ", i/8), 4, 5, 6))
		}
	}
	return story[:n]
}

// BenchmarkMeasure holds the film ledger against a bare loop that only adds up the same
// coats and cuts. A piece with 40 deeds is to take at most 20 µs.
func BenchmarkMeasure(b *testing.B) {
	for _, n := range []int{10, 40, 400} {
		story := longStory(n)
		b.Run(fmt.Sprintf("ledger/%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				coating.Measure(story, coating.UsualPolicy())
			}
		})
		b.Run(fmt.Sprintf("bare loop/%d", n), func(b *testing.B) {
			var sum coating.Range
			for b.Loop() {
				sum = coating.Range{}
				for _, d := range story {
					if d.Coat != nil {
						sum = sum.Plus(d.Coat.DryUM)
					} else if d.Cut != nil {
						sum = sum.Minus(d.Cut.OffUM)
					}
				}
			}
			require.NotZero(b, sum)
		})
	}
}

func TestLongStoryCountsEveryDeed(t *testing.T) {
	t.Parallel()
	film := coating.Measure(longStory(400), coating.UsualPolicy())
	require.Empty(t, film.LeftOut)
	require.True(t, film.ByGauge)
}
