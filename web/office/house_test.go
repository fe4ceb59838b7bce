package office

import (
	"bytes"
	"html"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
	"scumble/web"
)

// The owner of every test's shop.
const (
	ownerName     = "Ada Quill"
	ownerPassword = "four grey geese walk"
	setupCode     = "7KQ4-M2XD"
)

// houseNow is the hour at which the tests of the house take place.
var houseNow = time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)

// shopWindow is a browser on the office of a shop of its own. It doesn't follow
// redirects, so that a test sees them.
type shopWindow struct {
	t      *testing.T
	store  *store.Store
	server *httptest.Server
	client *http.Client
}

// openShop opens a shop that nobody has set up.
func openShop(t *testing.T) *shopWindow {
	t.Helper()
	now := func() time.Time { return houseNow }
	s := storetest.NewWith(t, store.Options{Now: now})
	sessions := scs.New()
	sessions.Store = s.Sessions()
	o := New(Options{Shop: s, Sessions: sessions, Now: now, SetupCode: setupCode, BaseURL: "https://shop.example"})
	r := chi.NewRouter()
	r.Use(web.Guard)
	r.Route("/office", o.Routes)
	server := httptest.NewServer(r)
	t.Cleanup(server.Close)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	client := server.Client()
	client.Jar = jar
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	return &shopWindow{t: t, store: s, server: server, client: client}
}

// openHouse opens a shop with its owner signed in.
func openHouse(t *testing.T) *shopWindow {
	t.Helper()
	b := openShop(t)
	b.addOwner()
	require.Equal(t, http.StatusSeeOther, b.post("/office/signin", url.Values{"name": {ownerName}, "password": {ownerPassword}}).code)
	return b
}

func (b *shopWindow) addOwner() restoration.Person {
	b.t.Helper()
	hash, err := access.HashSecret(ownerPassword)
	require.NoError(b.t, err)
	p, err := b.store.CreateOwner(b.t.Context(), ownerName, hash)
	require.NoError(b.t, err)
	return p
}

// answer is what the browser got.
type answer struct {
	code int
	to   string // where it was sent
	body string
}

// text is the page as a person reads it, tags and all.
func (a answer) text() string { return html.UnescapeString(a.body) }

func (b *shopWindow) get(path string) answer {
	b.t.Helper()
	return b.send(http.MethodGet, path, "", nil)
}

func (b *shopWindow) post(path string, form url.Values) answer {
	b.t.Helper()
	return b.send(http.MethodPost, path, "application/x-www-form-urlencoded", bytes.NewBufferString(form.Encode()))
}

// upload posts a form with a file.
func (b *shopWindow) upload(path string, form url.Values, file []byte) answer {
	b.t.Helper()
	var body bytes.Buffer
	w := multipart.NewWriter(&body)
	part, err := w.CreateFormFile(listFile, "list.csv")
	require.NoError(b.t, err)
	_, err = part.Write(file)
	require.NoError(b.t, err)
	for name, values := range form {
		for _, v := range values {
			require.NoError(b.t, w.WriteField(name, v))
		}
	}
	require.NoError(b.t, w.Close())
	return b.send(http.MethodPost, path, w.FormDataContentType(), &body)
}

func (b *shopWindow) send(method, path, kind string, body io.Reader) answer {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), method, b.server.URL+path, body)
	require.NoError(b.t, err)
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	resp, err := b.client.Do(r)
	require.NoError(b.t, err)
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	require.NoError(b.t, err)
	return answer{code: resp.StatusCode, to: resp.Header.Get("Location"), body: string(text)}
}

// TestHouseNeedsAnOwner holds every page of the house shut to who isn't signed in.
func TestHouseNeedsAnOwner(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	b.addOwner()
	for _, path := range []string{"/office/people", "/office/people/1", "/office/tablets", "/office/tablets/1", "/office/audit", "/office/audit.csv", "/office/cars/26-001/links/1", "/office/routes", "/office/routes/new",
		"/office/settings", "/office/cars/new", "/office/cars/26-001/edit", "/office/cars/26-001/import", "/office/cars/26-001/links"} {
		a := b.get(path)
		require.Equal(t, http.StatusSeeOther, a.code, path)
		require.Equal(t, signInPath+"?next="+url.QueryEscape(path), a.to)
		require.NotEqual(t, http.StatusOK, b.post(path, nil).code, path)
	}
	left, err := b.store.People(t.Context())
	require.NoError(t, err)
	require.Len(t, left, 1)
}
