package bench

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestACheckThatDoesNotHoldIsNotSaved(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	form := formOf(t, b.get(path).body, path+"/tick", url.Values{"fails": {"clean"}, "hours": {"2.5"}})
	got := b.post(path+"/tick", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "a check does not hold")
	require.Contains(t, got.body, "sheet-open")
	require.Contains(t, got.body, `value="2.5"`)
	require.Regexp(t, `value="clean" checked`, got.body)
	require.Equal(t, restoration.StepOpen, s.piece("Ash tray").Steps[0].State)
	require.Contains(t, b.get(path+"/note?fails=clean").body, "Does not hold: No rust in seams, no stripper left. ")
	require.Contains(t, b.get(path+"/time?fails=clean&hours=2.5").body, `value="2.5"`)
}

func TestShutWindowMustBeScuffed(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 1)
	s.pass(25 * time.Hour) // bare steel is to be primed within a day
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	body := b.get(path).body
	require.Contains(t, body, "Cleaned again: bare too long since")
	require.Contains(t, body, "Bare too long: clean first.", "pointed out before")
	form := formOf(t, body, path+"/tick", url.Values{"checks": {"both-faces"}})
	require.Contains(t, b.post(path+"/tick", form).body, "confirm that it is scuffed")
	form = formOf(t, body, path+"/tick", nil)
	require.Equal(t, []string{"both-faces", "scuffed"}, form["checks"], "one touch states both")
	require.Contains(t, body, "Both checks hold: save")
	form["id"] = []string{newID()}
	require.Equal(t, "/bench", b.post(path+"/tick", form).path)
}

func TestStartAgainstAWaitNeedsAReason(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 5)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	waits := b.get(path).body
	require.Contains(t, waits, "Not before tomorrow 09:00")
	require.NotContains(t, waits, `href="#done"`, "Done is not there")
	form := formOf(t, b.get(path+"/early").body, path+"/start", nil)
	got := b.post(path+"/start", form)
	require.Equal(t, http.StatusUnprocessableEntity, got.status)
	require.Contains(t, got.body, "Not yet")
	require.Contains(t, got.body, "Start early", "the page asks again")
	form = formOf(t, got.body, path+"/start", url.Values{"reason": {"Baked or lamp-cured"}})
	got = b.post(path+"/start", form)
	require.Equal(t, path, got.path)
	require.Equal(t, "Baked or lamp-cured", s.piece("Ash tray").Steps[5].Reason)
	form = formOf(t, got.body, path+"/tick", url.Values{"hours": {"1.5"}})
	require.Equal(t, "/bench", b.post(path+"/tick", form).path, "the reason holds for the tick")
	require.Equal(t, "Baked or lamp-cured", s.piece("Ash tray").Steps[5].Reason)
	seen, err := s.store.Overrides(t.Context(), s.clock().Add(-time.Hour))
	require.NoError(t, err)
	require.Len(t, seen, 1, "the owner sees the start")
}

func TestSaveSaysWhatItStates(t *testing.T) {
	t.Parallel()
	for n, want := range []string{"Save", "Check holds: save", "Both checks hold: save", "All 3 checks hold: save", "All 4 checks hold: save"} {
		require.Equal(t, want, saveWord(n))
	}
}
