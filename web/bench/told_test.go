package bench

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// What a colleague left to be known stands above the big action and on the pages where
// film is put on or taken off, however much was entered since.
func TestWhatAColleagueLeftStandsBeforeTheWork(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.cutReady("Ash tray", s.paint()["clear"])
	s.read(s.ada, "")
	p := s.piece("Ash tray")
	enter := func(k restoration.Kind, with restoration.Payload) {
		s.enter(restoration.Event{Kind: k, PieceID: p.ID, PersonID: s.ben.ID, DeviceID: s.device.ID, Payload: with})
	}
	pages := []string{piecePath(p.ID), piecePath(p.ID) + "/cut"}
	b := s.signIn(s.ada)
	for _, path := range pages {
		require.NotContains(t, b.get(path).body, "Ben Ostrowick, ")
	}
	enter(restoration.KindNote, restoration.Payload{Note: "The lip is thin at the left."})
	said := "“The lip is thin at the left.” · Ben Ostrowick, " + ui.Day(s.clock(), time.UTC)
	enter(restoration.KindHold, restoration.Payload{Reason: "waits for its hinge"})
	enter(restoration.KindRelease, restoration.Payload{})
	for _, path := range pages {
		top, _, ok := strings.Cut(b.get(path).body, `class="actionbar"`)
		require.True(t, ok)
		require.Contains(t, top, said, path)
		require.Contains(t, top, "Released from hold, which was for: waits for its hinge · Ben Ostrowick, ", path)
	}
	for range ledgerShown {
		enter(restoration.KindMove, restoration.Payload{Place: "Rack A"})
		enter(restoration.KindMove, restoration.Payload{Place: "Rack B"})
	}
	for _, path := range pages {
		require.Contains(t, b.get(path).body, said, path)
	}
	s.pass(restoration.ReleasedLately + time.Hour)
	require.NotContains(t, b.get(pages[0]).body, "Released from hold, which was for")
	enter(restoration.KindNote, restoration.Payload{Note: strings.Repeat("ü", noteShown+1)})
	require.Contains(t, b.get(pages[0]).body, "“"+strings.Repeat("ü", noteShown-1)+"…”")
}
