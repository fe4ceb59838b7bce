package bench

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// A full session asks for cure and flatting on the piece, in the batch and at the coat
// alike; soft clear that was sanded still cures.
func TestAFullSessionCuresAndIsFlatted(t *testing.T) {
	t.Parallel()
	s := setup(t)
	clear := s.clearNext("Ash tray")[coating.Clear]
	s.read(s.ada, "")
	s.spray("Ash tray", clear, 1, 30*time.Minute)
	s.spray("Ash tray", clear, 2, time.Minute)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	wait := s.piece("Ash tray").Steps[5].CoatWaits.Sand.Duration()

	soft := b.get(path + "?look=1").body
	require.Contains(t, soft, "Cures until ")
	require.NotContains(t, soft, "flash off", "no coat comes after it")
	_, bar, _ := strings.Cut(soft, `class="notyet"`)
	require.NotContains(t, bar, "button-main\" href", "neither a coat nor sanding is the thing to do")
	require.Contains(t, b.get(path+"/coat").body, "Cures until ")

	p := s.piece("Ash tray")
	s.log(restoration.Event{Kind: restoration.KindCutPass, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
		At: s.clock(), Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: "P800"}, Reason: "owner said so"}})
	require.Contains(t, b.get(path+"?look=1").body, "Cures until ", "sanded while soft")

	s.pass(wait)
	batch := s.batchOf(restoration.LookCleared)
	require.Contains(t, b.get(batch).body, "session is full and cured: flat first")
	hard := b.get(path + "?look=1").body
	require.Contains(t, hard, "Session is full and cured: flat first")
	require.Contains(t, b.get(path+"/coat").body, "Session is full and cured: flat first")
	p = s.piece("Ash tray")
	s.log(restoration.Event{Kind: restoration.KindCutPass, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: s.ada.ID, DeviceID: s.device.ID,
		At: s.clock(), Payload: restoration.Payload{Cut: &restoration.CutPass{Grade: "P800"}}})
	require.NotContains(t, b.get(path+"?look=1").body, "flat first")
}
