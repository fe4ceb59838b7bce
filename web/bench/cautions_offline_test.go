package bench

import (
	"net/http"
	"net/url"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// Cautions that were read without network stay read on that tablet: on the piece, after
// whatever is entered there, and on every other page of the stage. The server hears of it.
func TestCautionsReadWithoutNetwork(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	ash, door := piecePath(s.pieces["Ash tray"].ID), piecePath(s.pieces["Glove-box door"].ID)
	b.Go(ash)
	n.away.Store(true)
	b.Go(ash)
	b.understand()
	isPast := func() {
		t.Helper()
		b.tells(".asof", "No network: as of ")
		b.Await(`self.scumble?.outbox && !document.querySelector(".unread") && document.querySelector("main > .actionbar").offsetHeight > 0`)
	}
	for _, page := range []string{ash, door, ash} {
		b.Go(page)
		isPast()
	}
	b.press(`.actionbar button[form="start"]`)
	b.tells("main > .actionbar > .clockrow", "Timer runs")
	isPast()
	require.Equal(t, "1", b.Eval(`String(JSON.parse(localStorage["scumble.read"]).filter(r => !r.sent).length)`))
	// As if the line had been away for three hours.
	b.Run(`localStorage["scumble.read"] = JSON.stringify(JSON.parse(localStorage["scumble.read"]).map(r => ({...r, at: new Date(Date.now() - 3 * 3600000).toISOString()})))`)

	n.away.Store(false)
	b.online()
	b.Await(`JSON.parse(localStorage["scumble.read"]).every(r => r.sent)`)
	seen, err := s.store.CautionsSeen(t.Context(), s.ada.ID, time.Time{})
	require.NoError(t, err)
	require.WithinDuration(t, s.clock().Add(-3*time.Hour), seen["Stripped"], time.Minute, "by the hour at which they were read, put right")
}

// What one person has read says nothing of another on the same tablet, nor of the next day.
func TestCautionsReadWithoutNetworkAreTheReadersOwn(t *testing.T) {
	t.Parallel()
	s, b, n := keeping(t)
	ash := piecePath(s.pieces["Ash tray"].ID)
	b.Go(ash)
	n.away.Store(true)
	b.Go(ash)
	b.understand()
	b.Run(`localStorage["scumble.read"] = JSON.stringify(JSON.parse(localStorage["scumble.read"]).map(r => ({...r, at: new Date(Date.now() - 86400000).toISOString()})))`)
	b.Go(ash)
	b.awaitOutbox()
	b.Await(`document.querySelector(".unread")`) // yesterday's
	b.understand()
	b.Go(ash)
	b.Await(`self.scumble?.outbox && !document.querySelector(".unread")`)

	b.Run(`localStorage["scumble.read"] = JSON.stringify(JSON.parse(localStorage["scumble.read"]).map(r => ({...r, person: "` + strconv.FormatInt(s.ben.ID, 10) + `"})))`)
	b.Go(ash)
	b.awaitOutbox()
	b.Await(`document.querySelector(".unread")`) // Ben's
	n.away.Store(false)
	b.online()
	b.Go("/bench")
	b.awaitOutbox()
	seen, err := s.store.CautionsSeen(t.Context(), s.ben.ID, time.Time{})
	require.NoError(t, err)
	require.Empty(t, seen, "it waits for Ben")
}

func TestAReadingIsSentUnderItsReadersPass(t *testing.T) {
	t.Parallel()
	s := setup(t)
	at := s.clock().Add(-2 * time.Hour).Truncate(time.Second)
	pass := s.signIn(s.ada).passOn("/bench")
	ben := s.signIn(s.ben)
	send := func(at, pass string) int {
		form := url.Values{"stage": {"Stripped"}, "at": {at}}
		return ben.sendWith("/bench/cautions", form.Encode(), "Content-Type", "application/x-www-form-urlencoded", passHeader, pass).status
	}
	require.Equal(t, http.StatusNoContent, send(at.UTC().Format(time.RFC3339), pass))
	seen, err := s.store.CautionsSeen(t.Context(), s.ada.ID, at.Add(-time.Hour))
	require.NoError(t, err)
	require.WithinDuration(t, at, seen["Stripped"], time.Second)
	seen, err = s.store.CautionsSeen(t.Context(), s.ben.ID, at.Add(-time.Hour))
	require.NoError(t, err)
	require.Empty(t, seen, "who is signed in has read nothing")
	require.Equal(t, http.StatusUnprocessableEntity, send("noon", pass))
	require.Equal(t, http.StatusUnauthorized, send("", "nobody's"))
}
