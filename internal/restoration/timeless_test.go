package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestTimeless(t *testing.T) {
	t.Parallel()
	for says, want := range map[string]string{
		"The coat before was less than a minute old: it takes 10 min to flash off.":         "The coat before was # old: it takes # to flash off.",
		"The coat before was 1 h 20 min old: it takes 2 h to flash off.":                    "The coat before was # old: it takes # to flash off.",
		"The recoat window of primed shut 3 d 4 h before this coat.":                        "The recoat window of primed shut # before this coat.",
		"After this pass only 12 µm may still go. Stop and measure.":                        "After this pass only 12 µm may still go. Stop and measure.",
		"No tin is named: nobody will find this piece by its lot.":                          "No tin is named: nobody will find this piece by its lot.",
		"The gauge says 148 µm of clear, the log of coats gives 120–144 µm: measure again.": "The gauge says 148 µm of clear, the log of coats gives 120–144 µm: measure again.",
	} {
		require.Equal(t, want, Timeless(says))
	}
}

// Law: sentences that differ in a span alone are the same.
func TestTimelessForgetsEverySpan(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(1, int64(90*24*time.Hour)).Draw(t, "span"))
		require.Equal(t, "The coat before was # old.", Timeless("The coat before was "+span(d)+" old."))
	})
}
