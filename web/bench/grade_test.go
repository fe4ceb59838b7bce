package bench

import (
	"net/http"
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func TestGradeOnBareSteel(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	planned := s.piece("Ash tray").Steps[0].Planned.Likely
	for _, grade := range []string{"", "0", "7", "4.5", "x"} {
		got := b.post(path+"/grade", url.Values{"grade": {grade}})
		require.Equal(t, http.StatusUnprocessableEntity, got.status, grade)
		require.Contains(t, got.body, "A grade is 1 to 6")
	}
	require.Contains(t, b.get(path).body, "not graded yet")
	got := b.post(path+"/grade", url.Values{"grade": {"5"}})
	require.Equal(t, path, got.path)
	require.Contains(t, got.body, "grade 5 on bare steel, torn, part missing")
	p := s.piece("Ash tray")
	require.Equal(t, 5, p.SteelGrade)
	require.Greater(t, p.Steps[0].Planned.Likely, planned, "the plan follows")
	rows, err := s.store.Audit(t.Context(), restoration.AuditFilter{PieceID: p.ID})
	require.NoError(t, err)
	require.Equal(t, []string{s.ada.Name, s.device.Name}, []string{rows[0].Person, rows[0].Device}, "who said it, and where")

	s.advance("Ash tray", s.ada, 2) // primed
	require.NotContains(t, b.get(path).body, path+"/grade")
	require.Contains(t, b.post(path+"/grade", url.Values{"grade": {"2"}}).body, "coated by now")
	require.Equal(t, 5, s.piece("Ash tray").SteelGrade)
}

// A tablet may send a grade again for ever, under the pass of who said it: it is said once.
func TestAGradeFromTheOutbox(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	pass := b.passOn("/bench")
	b.post("/bench/signout", nil)
	path := piecePath(s.pieces["Ash tray"].ID) + "/grade"
	send := func(id, grade string) answer {
		t.Helper()
		form := url.Values{"id": {id}, "grade": {grade}}.Encode()
		list := answersOf(t, b.sendWith(path, form, "Content-Type", "application/x-www-form-urlencoded", passHeader, pass))
		require.Len(t, list, 1)
		require.Equal(t, id, list[0].ID.String())
		return list[0]
	}
	first := newID()
	require.Equal(t, restoration.Applied, send(first, "5").Outcome)
	rows, err := s.store.Audit(t.Context(), restoration.AuditFilter{PieceID: s.pieces["Ash tray"].ID})
	require.NoError(t, err)
	require.Equal(t, s.ada.Name, rows[0].Person)
	require.Equal(t, restoration.Applied, send(newID(), "3").Outcome)
	require.Equal(t, restoration.Applied, send(first, "5").Outcome, "the same answer")
	require.Equal(t, 3, s.piece("Ash tray").SteelGrade, "what was said since stands")
	wrong := send(newID(), "9")
	require.Equal(t, restoration.Refused, wrong.Outcome)
	require.Contains(t, wrong.Reason, "A grade is 1 to 6")
	s.advance("Ash tray", s.ada, 2)
	require.Contains(t, send(newID(), "2").Reason, "coated by now")
	s.enter(restoration.Event{Kind: restoration.KindRemove, PieceID: s.pieces["Ash tray"].ID, PersonID: s.owner.PersonID})
	require.Contains(t, send(newID(), "2").Reason, "taken off its car's list")
	require.Equal(t, http.StatusUnauthorized, b.sendWith(path, "", passHeader, "none").status)
}
