package main

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// Two programs on one database are one shop: who is signed in at one is signed in at
// the other, and each hears at once of what is entered at the other.
func TestTwoProgramsOnOneDatabase(t *testing.T) {
	t.Parallel()
	db := newNamedDatabase(t)
	one := spawn(t, "serve", "--database-url", db.url)
	two := spawn(t, "serve", "--database-url", db.url)
	s := setUpShop(t, one.program)
	owner, tablet := *s.owner, *s.tablet
	owner.base, tablet.base = two.base, two.base

	hears := map[string][2]stream{
		"office": {s.owner.listen("/office/live"), owner.listen("/office/live")},
		"bench":  {s.tablet.listen("/bench/live"), tablet.listen("/bench/live")},
	}
	for _, streams := range hears {
		streams[0].awaitLookAgain(t)
		streams[1].awaitLookAgain(t)
	}
	for i, from := range []*client{s.tablet, &tablet} {
		body := bodyOf(t, newEntry("note", entry{"piece": s.pieces[i], "note": "seen at both"}))
		require.Equal(t, http.StatusOK, from.send("/bench/events", body).status)
		for _, streams := range hears {
			streams[0].await(t, `"piece":"`+s.pieces[i]+`","kind":"note"`)
			streams[1].await(t, `"piece":"`+s.pieces[i]+`","kind":"note"`)
		}
	}
	require.Contains(t, owner.get("/office/pieces/"+s.pieces[0]).text(), "seen at both")
	require.Contains(t, s.owner.get("/office/pieces/"+s.pieces[1]).text(), "seen at both")
}
