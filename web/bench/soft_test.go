package bench

import (
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// A minute after a coat nothing may be sanded: the piece and the passes say until when,
// and a pass is kept with its reason only.
func TestWetClearIsSandedWithAReasonOnly(t *testing.T) {
	t.Parallel()
	s := setup(t)
	paint := s.clearNext("Ash tray")
	s.read(s.ada, "")
	s.spray("Ash tray", paint[coating.Clear], 1, time.Minute)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	body := b.get(path).body
	require.Contains(t, body, "<b>nothing</b> may go before <b>")

	page := b.get(path + "/cut").body
	require.Contains(t, page, "The last coat still hardens: nothing may go before ")
	require.Contains(t, page, "too soft yet", "at each grade too")
	require.Contains(t, page, "Baked or lamp-cured", "the reason is asked for from the start")

	form := formOf(t, page, path+"/cut", url.Values{"cut.grade": {"P800"}})
	got := b.post(path+"/cut", form)
	require.Contains(t, got.body, "Put it right, or say why it is so.", "at the reason")
	require.NotContains(t, got.body, "was allowed", "the page says it once, with the hour")
	require.Equal(t, restoration.KindCoat, s.lastDeed("Ash tray").Kind, "nothing was saved")

	form = formOf(t, got.body, path+"/cut", url.Values{"cut.grade": {"P800"}, "reason": {"Baked or lamp-cured"}})
	require.Contains(t, b.post(path+"/cut", form).body, "sanded with P800")
	require.Equal(t, restoration.KindCutPass, s.lastDeed("Ash tray").Kind)
	let, err := s.store.FilmOverrides(t.Context(), s.clock().Add(-time.Hour))
	require.NoError(t, err)
	require.Len(t, let, 1, "it needs a look")
	require.Equal(t, "Baked or lamp-cured", let[0].Event.Reason)

	s.pass(11 * 24 * time.Hour)
	require.NotContains(t, b.get(path+"/cut").body, "still hardens")
}
