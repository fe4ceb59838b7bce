package bench

import (
	"net/http"
	"testing"

	"github.com/stretchr/testify/require"
)

// What another enters shows on the tablet's list without a reload, as long as no finger
// is on it.
func TestListIsLive(t *testing.T) {
	t.Parallel()
	s, b := walk(t)
	b.signIn(s.ada.Name)
	b.Await(`document.body.innerText.includes("Ash tray")`)
	b.Run(`window.same = 1`)
	s.enter(startOf(s, "Ash tray", s.ben))
	b.Await(`!document.querySelector("main").innerText.includes("Ash tray") || document.querySelector("main").innerText.includes("` + s.ben.Name + `")`)
	require.Equal(t, "1", b.Eval(`String(window.same)`), "no reload")
}

func TestLiveNeedsAPerson(t *testing.T) {
	t.Parallel()
	s := setup(t)
	resp, err := s.server.Client().Get(s.server.URL + "/bench/live")
	require.NoError(t, err)
	require.NoError(t, resp.Body.Close())
	require.NotEqual(t, "text/event-stream", resp.Header.Get("Content-Type"))
	require.Equal(t, http.StatusOK, resp.StatusCode, "led to the page that enrols a tablet")
}
