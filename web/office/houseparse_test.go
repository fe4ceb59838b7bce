package office

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

func TestParseHours(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]restoration.Minutes{
		"0": 0, "1": 60, "1.5": 90, "1,5": 90, "0.33": 20, " 2 h ": 120, "45 min": 45, "45min": 45, "1 h 30 min": 90,
		"7 d": 7 * 24 * 60, "1.5 d": 36 * 60, "1 D 2 H 3 MIN": 26*60 + 3, "100000": 6_000_000,
	} {
		got, err := parseHours(typed)
		require.NoError(t, err, typed)
		require.Equal(t, want, got, typed)
	}
	for _, typed := range []string{"-1", "−1", "1e9", "NaN", "Inf", "two", "1:30", "1.2.3", "1 h 2", "h", "min", "100001", "999999999 d", "0x10", "1 min 1 h"} {
		_, err := parseHours(typed)
		require.Error(t, err, typed)
	}
}

func TestParseMoney(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int64{"0": 0, "85": 85_00, "85.5": 85_50, "85,50": 85_50, "0.07": 7, "999999999.99": 99_999_999_999} {
		got, err := parseMoney(typed)
		require.NoError(t, err, typed)
		require.Equal(t, want, got, typed)
	}
	for _, typed := range []string{"", "-1", "1e3", "NaN", "$85", "85.555", "1,234.50", "1 000", "1,234", "9999999999", ".5"} {
		_, err := parseMoney(typed)
		require.Error(t, err, typed)
	}
}

func TestParseDate(t *testing.T) {
	t.Parallel()
	want := time.Date(2026, 3, 27, 0, 0, 0, 0, time.UTC)
	for _, typed := range []string{"2026-03-27", "27 Mar 2026", "27 March 2026", "Fri 27 Mar 2026"} {
		got, err := parseDate(typed)
		require.NoError(t, err, typed)
		require.Equal(t, want, got, typed)
	}
	for _, typed := range []string{"", "27/3/2026", "2026-02-30", "0001-01-01", "1989-12-31", "2200-01-01", "today", "2026-3-27"} {
		_, err := parseDate(typed)
		require.Error(t, err, typed)
	}
}

func TestParseClock(t *testing.T) {
	t.Parallel()
	for typed, want := range map[string]int{"00:00": 0, "8:05": 485, "08:30": 510, "23:59": 1439, "24:00": 1440} {
		got, err := parseClock(typed)
		require.NoError(t, err, typed)
		require.Equal(t, want, got, typed)
	}
	for _, typed := range []string{"", "8", "08:60", "24:01", "99:00", "8:5", "-1:00", "08:30:00"} {
		_, err := parseClock(typed)
		require.Error(t, err, typed)
	}
}

// What is shown in a field is read back as it was.
func TestTypedIsParsed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		m := restoration.Minutes(rapid.IntRange(0, 6_000_000).Draw(t, "minutes"))
		got, err := parseHours(typedHours(m))
		require.NoError(t, err)
		require.Equal(t, m, got, typedHours(m))
		if m > 0 {
			got, err = parseHours(typedSpan(m))
			require.NoError(t, err)
			require.Equal(t, m, got, typedSpan(m))
		}
		cents := rapid.Int64Range(0, 99_999_999_999).Draw(t, "cents")
		back, err := parseMoney(typedMoney(cents))
		require.NoError(t, err)
		require.Equal(t, cents, back)
		day := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 76_000).Draw(t, "day"))
		date, err := parseDate(typedDate(day))
		require.NoError(t, err)
		require.Equal(t, day, date)
		minute := rapid.IntRange(0, 1440).Draw(t, "minute")
		clock, err := parseClock(typedClock(minute))
		require.NoError(t, err)
		require.Equal(t, minute, clock)
	})
}

// Whatever is typed, hours stay within their bounds and come back as they were shown.
func FuzzParseHours(f *testing.F) {
	for _, s := range []string{"1.5", "45 min", "7 d", "1 h 30 min", "-1", "1e9", "NaN", "٣", "1 d 1", "999999999999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := parseHours(s)
		if err != nil {
			require.NotEmpty(t, err.Error())
			return
		}
		require.GreaterOrEqual(t, m, restoration.Minutes(0))
		require.LessOrEqual(t, m, restoration.Minutes(6_000_000))
		again, err := parseHours(typedHours(m))
		require.NoError(t, err)
		require.Equal(t, m, again)
	})
}

// Whatever is typed, an amount is not negative and comes back as it was shown.
func FuzzParseMoney(f *testing.F) {
	for _, s := range []string{"85", "85.50", "85,5", "-1", "1e9", "0.001", "٣", "000000000.00"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		cents, err := parseMoney(s)
		if err != nil {
			return
		}
		require.GreaterOrEqual(t, cents, int64(0))
		again, err := parseMoney(typedMoney(cents))
		require.NoError(t, err)
		require.Equal(t, cents, again)
	})
}

// Whatever is typed, a day is of this age, at midnight UTC, and comes back.
func FuzzParseDate(f *testing.F) {
	for _, s := range []string{"2026-03-27", "27 Mar 2026", "31 Feb 2026", "0000-00-00", "Fri 27 Mar 2026", "27.3.2026"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		day, err := parseDate(s)
		if err != nil {
			return
		}
		require.True(t, day.Year() >= 1990 && day.Year() <= 2199, s)
		require.Equal(t, day, day.Truncate(24*time.Hour))
		again, err := parseDate(typedDate(day))
		require.NoError(t, err)
		require.Equal(t, day, again)
	})
}

func TestTexts(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		typed, want string
		wrong       bool
	}{
		"plain":            {"Ada", "Ada", false},
		"blanks":           {"  Ada \t Quill ", "Ada Quill", false},
		"sixty":            {strings.Repeat("ü", 60), strings.Repeat("ü", 60), false},
		"sixty-one":        {strings.Repeat("ü", 61), strings.Repeat("ü", 61), true},
		"nul":              {"a\x00b", "a\x00b", true},
		"broken UTF-8":     {"a\xffb", "a\xffb", true},
		"markup":           {"<b>'; DROP TABLE people; --", "<b>'; DROP TABLE people; --", false},
		"right to left":    {"שלום", "שלום", false},
		"a megabyte of it": {strings.Repeat("x", 1<<20), strings.Repeat("x", 1<<20), true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: map[string][]string{"x": {c.typed}}}
			require.Equal(t, c.want, f.line("x"))
			require.Equal(t, c.wrong, !f.ok())
		})
	}
	f := &form{values: map[string][]string{"x": {"a\r\n\r\n b  c \r\n"}}}
	require.Equal(t, []string{"a", "b c"}, f.lines("x"))
}
