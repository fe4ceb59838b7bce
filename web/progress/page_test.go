package progress_test

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
	"scumble/web/progress"
)

func TestMain(m *testing.M) { storetest.Main(m) }

// linked serves the page of one car with one link on a store of the test's own.
func linked(t *testing.T) (*store.Store, http.Handler, string) {
	t.Helper()
	s := storetest.New(t)
	car, err := s.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "1936 Brennick Eight", Customer: "E. Marchetti-Lowe",
		Words: "Grain <b>next</b> week.\nSee you."},
		[]restoration.NewPiece{{Details: restoration.Details{Name: "<i>Header</i>", Zone: restoration.ZoneFront, Note: "secret"}}})
	require.NoError(t, err)
	token, hash, err := access.NewToken()
	require.NoError(t, err)
	_, err = s.AddLink(t.Context(), restoration.Actor{}, restoration.Link{CarID: car.ID, ExpiresAt: time.Now().Add(time.Hour)}, hash)
	require.NoError(t, err)
	r := chi.NewRouter()
	r.Route("/p", progress.New(progress.Options{Shop: s}).Routes)
	return s, r, token
}

func get(h http.Handler, path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w
}

func TestThePageTellsAndKeepsQuiet(t *testing.T) {
	t.Parallel()
	_, h, token := linked(t)
	w := get(h, "/p/"+token)
	require.Equal(t, http.StatusOK, w.Code)
	body := w.Body.String()
	for _, told := range []string{"0 of 1 piece are grained or further", "&lt;i&gt;Header&lt;/i&gt;", "Grain &lt;b&gt;next&lt;/b&gt; week.", "not begun yet"} {
		require.Contains(t, body, told)
	}
	for _, kept := range []string{"Marchetti", "Brennick", "secret", "26-0", "<script", "http://", "https://"} {
		require.NotContains(t, strings.ReplaceAll(body, "http://www.w3.org", ""), kept)
	}
	require.Empty(t, w.Header().Values("Set-Cookie"))
	require.Equal(t, "no-store", w.Header().Get("Cache-Control"))
	require.Contains(t, w.Header().Get("X-Robots-Tag"), "noindex")
	require.Equal(t, "no-referrer", w.Header().Get("Referrer-Policy"))
}

// Every link that doesn't open gets one and the same answer.
func TestEveryWrongLinkLooksTheSame(t *testing.T) {
	t.Parallel()
	s, h, token := linked(t)
	links, err := s.Links(t.Context(), 1)
	require.NoError(t, err)
	require.NoError(t, s.RevokeLink(t.Context(), restoration.Actor{}, links[0].ID))
	revoked := get(h, "/p/"+token)
	require.Equal(t, http.StatusNotFound, revoked.Code)
	for _, path := range []string{"/p/", "/p/x", "/p/" + strings.Repeat("A", 43), "/p/" + token + "/more", "/p/%00", "/p/" + strings.Repeat("z", 5000)} {
		w := get(h, path)
		require.Equal(t, revoked.Code, w.Code, path)
		require.Equal(t, revoked.Body.String(), w.Body.String(), path)
		require.Equal(t, revoked.Header(), w.Header(), path)
	}
}
