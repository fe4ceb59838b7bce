package bench

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// entryOf is a form's worth of JSON about the piece's next step.
func entryOf(s *testShop, piece, kind string, more map[string]any) map[string]any {
	p := s.piece(piece)
	fields := map[string]any{"id": newID(), "kind": kind, "step": p.Sum.NextStep, "piece": p.ID, "at": s.clock().Format(time.RFC3339)}
	for k, v := range more {
		fields[k] = v
	}
	return fields
}

func batch(t *testing.T, entries ...map[string]any) string {
	t.Helper()
	body, err := json.Marshal(entries)
	require.NoError(t, err)
	return string(body)
}

func answersOf(t *testing.T, p page) []answer {
	t.Helper()
	require.Equal(t, http.StatusOK, p.status, p.body)
	var list []answer
	require.NoError(t, json.Unmarshal([]byte(p.body), &list))
	return list
}

func TestEventsAreAnsweredInOrder(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	checks := []string{"photographed", "clean", "graded-again"}
	tick := entryOf(s, "Ash tray", "tick", map[string]any{"hours": 1.25, "checks": checks})
	early := entryOf(s, "Glove-box door", "tick", nil)
	note := entryOf(s, "Ash tray", "note", map[string]any{"note": "<b>'); DROP TABLE cars;--"})
	got := answersOf(t, b.send("/bench/events", batch(t, tick, early, note)))
	require.Len(t, got, 3)
	for i, e := range []map[string]any{tick, early, note} {
		require.Equal(t, e["id"], got[i].ID.String())
	}
	require.Equal(t, restoration.Applied, got[0].Outcome)
	require.Equal(t, restoration.Refused, got[1].Outcome)
	require.Contains(t, got[1].Reason, "Answer first")
	require.Equal(t, restoration.Applied, got[2].Outcome)

	again := answersOf(t, b.send("/bench/events", batch(t, tick)))
	require.Equal(t, got[0], again[0], "the same id gets the same answer")
	p := s.piece("Ash tray")
	require.EqualValues(t, 75, p.Steps[0].Logged, "and changes nothing")
	require.Equal(t, s.ada.ID, p.Steps[0].DoneBy)
	require.NotContains(t, b.get(piecePath(p.ID)).body, "<b>'", "what was typed is shown, not run")
}

func TestEventInAWaitSaysFromWhen(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 5)
	b := s.signIn(s.ada)
	got := answersOf(t, b.send("/bench/events", batch(t, entryOf(s, "Ash tray", "start", nil))))
	require.Equal(t, restoration.Refused, got[0].Outcome)
	require.Equal(t, s.clock().Add(24*time.Hour).Format(time.RFC3339), got[0].AllowedFrom)
}

func TestEventsRefusedOneByOne(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	for name, c := range map[string]struct {
		kind string
		more map[string]any
		says string
	}{
		"no hours":        {"log time", map[string]any{"hours": 0}, "Say how long"},
		"less than none":  {"log time", map[string]any{"hours": -1}, "more than 0"},
		"a million years": {"tick", map[string]any{"hours": 1e9}, "up to 24 h"},
		"still to go":     {"still to go", map[string]any{"still_to_go": -2}, "still to go"},
		"1 MB note":       {"note", map[string]any{"note": strings.Repeat("x", 1<<20)}, "longer than 2000 characters"},
		"the future":      {"note", map[string]any{"note": "n", "at": s.clock().Add(time.Hour).Format(time.RFC3339)}, "in the future"},
		"last year":       {"note", map[string]any{"note": "n", "at": s.clock().AddDate(-1, 0, 0).Format(time.RFC3339)}, "90 days"},
		"unknown step":    {"tick", map[string]any{"step": stepA}, "no such step"},
	} {
		t.Run(name, func(t *testing.T) {
			good := entryOf(s, "Door capping left", "note", map[string]any{"note": "taken all the same"})
			got := answersOf(t, b.send("/bench/events", batch(t, entryOf(s, "Ash tray", c.kind, c.more), good)))
			require.Equal(t, restoration.Refused, got[0].Outcome)
			require.Contains(t, got[0].Reason, c.says)
			require.Equal(t, restoration.Applied, got[1].Outcome)
		})
	}
	open, err := s.store.History(t.Context(), restoration.HistoryFilter{RefusedOpen: true})
	require.NoError(t, err)
	require.Len(t, open, 8, "refused entries are kept")
}

func TestBadBatchIsAProblemAndNothingIsApplied(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	good := batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"}))
	bad := entryOf(s, "Ash tray", "note", map[string]any{"note": "n"})
	bad["id"] = "no-uuid"
	for name, c := range map[string]struct {
		body   string
		status int
		says   string
	}{
		"not JSON":   {good[:len(good)-1], http.StatusBadRequest, "not JSON"},
		"NaN":        {strings.Replace(good, `"note":"n"`, `"hours":NaN`, 1), http.StatusBadRequest, "not JSON"},
		"bad id":     {good[:len(good)-1] + "," + batch(t, bad)[1:], http.StatusBadRequest, "Entry 1: id"},
		"too large":  {batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": strings.Repeat("x", MaxBody)})), http.StatusRequestEntityTooLarge, "2 MB"},
		"a sentence": {"hello", http.StatusBadRequest, "JSON array"},
	} {
		t.Run(name, func(t *testing.T) {
			got := b.send("/bench/events", c.body)
			require.Equal(t, c.status, got.status)
			require.Equal(t, "application/problem+json", got.header.Get("Content-Type"))
			require.Contains(t, got.body, c.says)
		})
	}
	entries, err := s.store.History(t.Context(), restoration.HistoryFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Len(t, entries, 1, "only the opening")
}

func TestEventsNeedATabletAndAPerson(t *testing.T) {
	t.Parallel()
	s := setup(t)
	body := batch(t, entryOf(s, "Ash tray", "note", map[string]any{"note": "n"}))
	for name, b := range map[string]*browser{"no tablet": s.open(false), "nobody": s.open(true)} {
		got := b.send("/bench/events", body)
		require.Equal(t, http.StatusUnauthorized, got.status, name)
		require.Equal(t, "application/problem+json", got.header.Get("Content-Type"), name)
	}
}

func TestTwoTabletsTickOneStep(t *testing.T) {
	t.Parallel()
	s := setup(t)
	more := map[string]any{"checks": []string{"photographed", "clean", "graded-again"}, "hours": 1}
	first, second := entryOf(s, "Ash tray", "tick", more), entryOf(s, "Ash tray", "tick", more)
	require.Equal(t, restoration.Applied, answersOf(t, s.signIn(s.ada).send("/bench/events", batch(t, first)))[0].Outcome)
	late := s.signIn(s.ben)
	got := answersOf(t, late.send("/bench/events?say=1", batch(t, second)))
	require.Equal(t, restoration.Already, got[0].Outcome)
	require.Contains(t, got[0].Reason, s.ada.Name)
	require.EqualValues(t, 120, s.piece("Ash tray").Steps[0].Logged, "the second one's time is kept")
	require.Contains(t, late.get("/bench").body, s.ada.Name+" ticked this already", "the next page says so")
}

func TestScriptsTickLeavesAnUndo(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	tick := entryOf(s, "Ash tray", "tick", map[string]any{"checks": []string{"photographed", "clean", "graded-again"}})
	b.send("/bench/events?say=1", batch(t, tick))
	require.Contains(t, b.get("/bench").body, "until 09:10")
	s.pass(undoLife)
	require.NotContains(t, b.get("/bench").body, "until 09:10")
}
