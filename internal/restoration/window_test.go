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
		look Look
		late time.Time
		want string
	}{
		{LookStripped, time.Time{}, ""},
		{LookStripped, hours(5), "prime within 5 h"},
		{LookRepaired, hours(5.99), "prime within 5 h 59 min"},
		{LookRepaired, hours(-1), "bare too long: clean first"},
		{LookPrimed, hours(5), "next coat within 5 h"},
		{LookPrimed, monday, "next coat within 0 min"},
		{LookCleared, hours(-1), "too late for the next coat: scuff first"},
	} {
		require.Equal(t, tt.want, WindowWords(tt.look, tt.late, monday), "%s %s", tt.look, tt.late)
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
