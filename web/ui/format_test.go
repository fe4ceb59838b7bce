package ui

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestWhen(t *testing.T) {
	t.Parallel()
	at := time.Date(2026, 3, 27, 13, 30, 59, 0, time.UTC)
	east := time.FixedZone("east", 3600)
	require.Equal(t, "Fri 27 Mar 2026, 13:30", When(at, nil))
	require.Equal(t, "Fri 27 Mar 2026, 14:30", When(at, east))
	require.Equal(t, "Sat 28 Mar 2026", Day(at.Add(10*time.Hour+30*time.Minute), east))
	require.Equal(t, None, When(time.Time{}, east))
	require.Equal(t, None, Day(time.Time{}, nil))
}

func TestClock(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 24, 14, 30, 0, 0, time.UTC) // a Tuesday
	day := 24 * time.Hour
	for _, tt := range []struct {
		at   time.Time
		want string
	}{
		{now.Add(2*time.Hour + 10*time.Minute), "16:40"},
		{now.Add(-14 * time.Hour), "00:30"},
		{now.Add(10 * time.Hour), "Wed 00:30"},
		{now.Add(6 * day), "Mon 14:30"},
		{now.Add(7 * day), "31 Mar 14:30"},
		{now.Add(-day), "23 Mar 14:30"},
		{time.Time{}, None},
	} {
		require.Equal(t, tt.want, Clock(tt.at, now, nil), tt.at)
	}
}

func TestSpan(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 24, 14, 30, 0, 0, time.UTC)
	for d, want := range map[time.Duration]string{
		0: "now", time.Second: "in 1 min", -59 * time.Second: "now",
		time.Minute: "in 1 min", 59*time.Minute + time.Second: "in 1 h", -20*time.Minute - 59*time.Second: "20 min ago",
		time.Hour: "in 1 h", 6*time.Hour + 50*time.Minute: "in 7 h", 16*time.Hour - time.Second: "in 16 h", 47 * time.Hour: "in 47 h",
		-5*time.Hour - 59*time.Minute: "5 h ago", 47*time.Hour + time.Second: "in 2 days", 48 * time.Hour: "in 2 days",
		-59*24*time.Hour - time.Hour: "59 days ago", 100 * 24 * time.Hour: "in 4 months", -100 * 24 * time.Hour: "3 months ago",
	} {
		require.Equal(t, want, Span(now.Add(d), now), d)
	}
	require.Equal(t, None, Span(time.Time{}, now))
}

func TestHoursAndFigures(t *testing.T) {
	t.Parallel()
	for minutes, want := range map[int]string{0: "0 h", 15: "0.25 h", 105: "1.75 h", 120: "2 h", 100: "1.67 h", -30: "-0.5 h", 6000: "100 h"} {
		require.Equal(t, want, Hours(minutes))
	}
	require.Equal(t, "118.5 h", HoursFloat(118.5))
	require.Equal(t, "0 h", HoursFloat(-0.001))
	require.Equal(t, None, HoursFloat(math.NaN()))
	require.Equal(t, None, HoursFloat(math.Inf(1)))
	require.Equal(t, "1.50", Num(1.5, 2))
	require.Equal(t, None, Num(math.NaN(), 2))
	require.Equal(t, "1 piece", Count(1, "piece", "pieces"))
	require.Equal(t, "0 pieces", Count(0, "piece", "pieces"))
}

func TestPercentSaysHundredOnlyWhenNothingIsLeft(t *testing.T) {
	t.Parallel()
	for share, want := range map[float64]string{0: "0 %", .314: "31 %", .999: "99 %", 1: "100 %", .29: "29 %", .57: "57 %"} {
		require.Equal(t, want, Percent(share))
	}
	require.Equal(t, None, Percent(math.NaN()))
}

func TestArea(t *testing.T) {
	t.Parallel()
	require.Equal(t, "0.42 m²", Area(.42, false))
	require.Equal(t, "0.012 m²", Area(.012, false))
	require.Equal(t, "10.8 ft²", Area(1, true)) // 1 ÷ 0.3048² = 10.764
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		require.Equal(t, None, Area(bad, false))
	}
}

// What is to come is never said to be nearer than it is, what is past never further.
func TestSpanKnowsItsDirection(t *testing.T) {
	t.Parallel()
	now := fixtureNow()
	units := map[string]time.Duration{"min": time.Minute, "h": time.Hour, "day": 24 * time.Hour, "month": 3044 * 24 * time.Hour / 100}
	said := func(t *rapid.T, words string) time.Duration {
		fields := strings.Fields(words)
		n, err := strconv.Atoi(fields[0])
		unit := units[strings.TrimSuffix(fields[1], "s")]
		if err != nil || unit == 0 {
			t.Fatalf("%q", words)
		}
		return time.Duration(n) * unit
	}
	rapid.Check(t, func(t *rapid.T) {
		d := time.Duration(rapid.Int64Range(60, 1e8).Draw(t, "seconds")) * time.Second
		ahead, isAhead := strings.CutPrefix(Span(now.Add(d), now), "in ")
		behind, isBehind := strings.CutSuffix(Span(now.Add(-d), now), " ago")
		if !isAhead || !isBehind || said(t, ahead) < d || said(t, behind) > d {
			t.Fatalf("%s: %q, %q", d, ahead, behind)
		}
	})
}

// Saturday noon: Monday 12:17 is 48 h 17 min away, two days by the calendar.
func TestUntil(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 28, 12, 0, 0, 0, time.UTC)
	for want, ahead := range map[string]time.Duration{
		"in 20 min": 20 * time.Minute, "in 30 h": 30 * time.Hour, "in 47 h": 47 * time.Hour, "in 2 days": 48*time.Hour + 17*time.Minute,
		"in 3 days": 60 * time.Hour,
	} {
		require.Equal(t, want, Until(now.Add(ahead), now, time.UTC))
	}
}

func TestUnbroken(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"C-1, 0.29 fl oz":                "C-1, 0.29\u00a0fl\u00a0oz",
		"flash off 2 h 20 min":           "flash off 2\u00a0h 20\u00a0min",
		"About 118 µm clear, 45 µm may":  "About 118\u00a0µm clear, 45\u00a0µm may",
		"2.17–2.68 mil at 68 °F, 3 days": "2.17–2.68\u00a0mil at 68\u00a0°F, 3 days",
		"L* 38.5, a* 17.0, b* -2.0":      "L*\u00a038.5, a*\u00a017.0, b*\u00a0-2.0",
		"b* −12 or 84 GU at 20°":         "b*\u00a0−12 or 84\u00a0GU at 20°",
		"L*, a* and b* are 3 figures":    "L*, a* and b* are 3 figures",
		"no figure":                      "no figure",
	} {
		require.Equal(t, want, Unbroken(text))
	}
}
