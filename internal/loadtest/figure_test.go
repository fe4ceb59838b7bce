package main

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestMedian(t *testing.T) {
	t.Parallel()
	require.Equal(t, 3, median([]int{9, 1, 3}))
	require.Equal(t, 4, median([]int{4, 1, 3, 9}), "the upper of two")
	sample := []int{2, 1}
	median(sample)
	require.Equal(t, []int{2, 1}, sample, "the sample stays as it is")
}

func TestInterleaveTakesTurns(t *testing.T) {
	t.Parallel()
	var order []string
	note := func(s string) func() error { return func() error { order = append(order, s); return nil } }
	times, err := interleave(2, note("a"), note("b"))
	require.NoError(t, err)
	require.Len(t, times, 2)
	require.Equal(t, "ababab", strings.Join(order, ""), "one round that isn't counted, then two")
}

func TestAtMost(t *testing.T) {
	t.Parallel()
	f := atMost("roll-up", 150*time.Millisecond, 100*time.Millisecond, 1.5, "medians")
	require.Equal(t, figure{Name: "roll-up", Limit: "≤ 1.5 ×", Measured: "1.50 ×", Held: true, Detail: "150ms : 100ms; medians"}, f)
	require.False(t, atMost("", 151*time.Millisecond, 100*time.Millisecond, 1.5, "").Held)
}

func TestPrintTable(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	require.NoError(t, printTable(&out, []figure{
		{Name: "one", Limit: "≤ 1", Measured: "1", Held: true, Detail: "d"}, {Name: "two", Limit: "≤ 1", Measured: "2"},
	}))
	require.Equal(t, "figure  limit  measured  result    how\none     ≤ 1    1         held      d\ntwo     ≤ 1    2         not held  \n", out.String())
}

func TestChoose(t *testing.T) {
	t.Parallel()
	all, err := choose("")
	require.NoError(t, err)
	require.Len(t, all, len(measurements))
	some, err := choose("tick, roll")
	require.NoError(t, err)
	require.Equal(t, []string{"roll", "tick"}, []string{some[0].name, some[1].name}, "what changes the shop comes last in any case")
	_, err = choose("tock")
	require.ErrorContains(t, err, `no measurement "tock"`)
}

func TestInline(t *testing.T) {
	t.Parallel()
	known, other := restoration.ID{1}, restoration.ID{2}
	seven, quarter := int64(7), restoration.Minutes(15)
	at := time.Date(2026, 3, 27, 14, 30, 0, 5000, time.UTC)
	sub := substitution{ids: map[restoration.ID]string{known: "md5(:x)::uuid"}, carID: 7, car: ":car"}
	for name, c := range map[string]struct {
		sql  string
		args []any
		want string
	}{
		"blanks":       {"SELECT\n\t\t1", nil, "SELECT 1"},
		"known id":     {"SELECT $1", []any{known}, "SELECT md5(:x)::uuid"},
		"other id":     {"SELECT $1", []any{other}, "SELECT '02000000-0000-0000-0000-000000000000'::uuid"},
		"no id":        {"SELECT $1", []any{restoration.ID{}}, "SELECT NULL"},
		"the car":      {"SELECT $1, $2", []any{int64(7), &seven}, "SELECT :car, :car"},
		"a number":     {"SELECT $1, $2, $3", []any{int64(8), 7, quarter}, "SELECT 8, 7, 15"},
		"pointers":     {"SELECT $1, $2, $3", []any{(*time.Time)(nil), &quarter, &at}, "SELECT NULL, 15, '2026-03-27T14:30:00.000005Z'::timestamptz"},
		"quotes":       {"SELECT $1", []any{"O'Hara"}, "SELECT 'O''Hara'"},
		"a document":   {"SELECT $1", []any{restoration.Payload{Note: "it's"}}, `SELECT '{"note":"it''s"}'::jsonb`},
		"ten and more": {"SELECT $1, $10", []any{1, 2, 3, 4, 5, 6, 7, 8, 9, true}, "SELECT 1, true"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := statement{sql: c.sql, args: c.args}.inline(sub)
			require.NoError(t, err)
			require.Equal(t, c.want, got)
		})
	}
	_, err := statement{sql: "SELECT $1", args: []any{3.5}}.inline(sub)
	require.ErrorContains(t, err, "no way to write a float64")
}
