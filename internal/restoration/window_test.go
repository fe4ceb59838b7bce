package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestWindowWordsKnowBareSteel(t *testing.T) {
	t.Parallel()
	hours := func(h float64) time.Time { return monday.Add(time.Duration(h * float64(time.Hour))) }
	for _, tt := range []struct {
		sum  Sum
		want string
	}{
		{Sum{Look: LookStripped}, ""},
		{Sum{Look: LookStripped, LateFrom: hours(5)}, "prime within 5 h"},
		{Sum{Look: LookRepaired, LateFrom: hours(5.99)}, "prime within 5 h 59 min"},
		{Sum{Look: LookRepaired, LateFrom: hours(-1)}, "bare too long: clean first"},
		{Sum{Look: LookRepaired, LateFrom: hours(-1), SentBack: true}, "sent back: scuff and clean first"},
		{Sum{Look: LookStripped, LateFrom: hours(5), SentBack: true}, "prime within 5 h"},
		{Sum{Look: LookPrimed, LateFrom: hours(5)}, "next coat within 5 h"},
		{Sum{Look: LookPrimed, LateFrom: monday}, "next coat within 0 min"},
		{Sum{Look: LookCleared, LateFrom: hours(-1)}, "too late for the next coat: scuff first"},
	} {
		require.Equal(t, tt.want, tt.sum.WindowWords(monday), "%+v", tt.sum)
	}
}

func TestSpanUpNeverSendsTooEarly(t *testing.T) {
	t.Parallel()
	for d, want := range map[time.Duration]string{
		time.Second: "1 min", 16*time.Hour - 20*time.Second: "16 h", 6*time.Hour + 50*time.Minute: "6 h 50 min",
		24*time.Hour - time.Second: "1 d", 27*time.Hour + time.Minute: "1 d 4 h", 48 * time.Hour: "2 d",
	} {
		require.Equal(t, want, spanUp(d), d)
	}
}

// On Friday noon: a window that shuts within a day, or while nobody is there, matters; one
// that shuts on a working day next week doesn't, nor that of a held piece.
func TestWindowsThatMatter(t *testing.T) {
	t.Parallel()
	noon := time.Date(2026, 3, 27, 12, 0, 0, 0, time.UTC) // a Friday
	cal := StockSettings().Calendar
	for name, tc := range map[string]struct {
		shuts time.Time
		held  bool
		want  bool
	}{
		"has shut":            {noon.Add(-time.Hour), false, true},
		"this afternoon":      {noon.Add(3 * time.Hour), false, true},
		"Sunday":              {noon.Add(50 * time.Hour), false, true},
		"Monday at ten":       {noon.Add(70 * time.Hour), false, false},
		"Tuesday night":       {time.Date(2026, 3, 31, 22, 0, 0, 0, time.UTC), false, true},
		"in a fortnight":      {noon.AddDate(0, 0, 14), false, false},
		"never":               {time.Time{}, false, false},
		"Sunday, but is held": {noon.Add(50 * time.Hour), true, false},
	} {
		p := Piece{Sum: Sum{LateFrom: tc.shuts}}
		if tc.held {
			p.Holding = &Hold{Reason: "lost"}
		}
		require.Equal(t, tc.want, cal.WindowMatters(p, noon, time.UTC), name)
	}
}
