package bench

import (
	"html"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestFind(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	label := s.pieces["Ash tray"].Label
	path := piecePath(s.pieces["Ash tray"].ID)
	for _, typed := range []string{label, strings.ToLower(label), label[:2] + "-" + label[2:], "https://shop.example/bench/find?code=" + label} {
		require.Equal(t, path, b.get("/bench/find?code="+url.QueryEscape(typed)).path, typed)
	}
	at := 0 // the first two that differ
	for label[at] == label[at+1] {
		at++
	}
	swapped := label[:at] + string([]byte{label[at+1], label[at]}) + label[at+2:]
	for typed, says := range map[string]string{
		"12": "a piece's label has 5 signs, a place's 6; this has 2", swapped: "Look at the label again", unknownLabel(t, s): "no piece",
	} {
		got := b.get("/bench/find?code=" + url.QueryEscape(typed))
		require.Equal(t, http.StatusNotFound, got.status, typed)
		require.Contains(t, strings.ToLower(html.UnescapeString(got.body)), strings.ToLower(says))
	}
	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	require.Contains(t, b.get("/bench/find?code="+label).body, "taken off its car&#39;s list on Wed 25 Mar 2026")
	require.Equal(t, http.StatusNotFound, b.get(path).status)
	require.Contains(t, b.get("/bench/find").body, "Code, piece or car")
	require.Equal(t, http.StatusNotFound, b.get("/bench/pieces/no-uuid").status)
	require.Equal(t, http.StatusNotFound, b.get("/bench/pieces/"+pieceA).status)
}

func TestFindByWords(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	s.newCar("1938 Ostrand Coupé", "Türkappe")
	s.advance("Windscreen moulding", s.ada, 5)
	s.enter(startOf(s, "Instrument panel", s.ben))
	find := func(q string) page { return b.get("/bench/find?code=" + url.QueryEscape(q)) }
	for q, want := range map[string][]string{
		"turkappe":               {"Türkappe", "ready now"},
		"coupe TÜR":              {"Türkappe"},
		"moulding":               {"Windscreen moulding", "not before Thu"},
		"panel":                  {"Instrument panel", "in hand since", "Ben Ostrowick"},
		s.car.WorkOrder:          {"Ash tray", "Glove-box door", "5 pieces found"},
		s.car.WorkOrder + " ash": {"Ash tray", "1 piece found"},
	} {
		got := find(q)
		require.Equal(t, http.StatusOK, got.status, q)
		for _, w := range want {
			require.Contains(t, got.body, w, q)
		}
		require.NotContains(t, got.body, "Quarnby")
	}
	for _, q := range []string{"quarnby", "no such moulding", "<script>"} {
		require.Equal(t, http.StatusNotFound, find(q).status, q)
	}
	require.Contains(t, find("no such moulding").body, "called so")
}

// unknownLabel is right by its check sign, but no piece has it.
func unknownLabel(t *testing.T, s *testShop) string {
	t.Helper()
	for seed := byte(0); ; seed++ {
		label, err := restoration.NewLabel(strings.NewReader(strings.Repeat(string(rune(seed%100)), 40)))
		require.NoError(t, err)
		if _, err := s.store.FindPieceByLabel(t.Context(), label); err != nil {
			return label
		}
	}
}
