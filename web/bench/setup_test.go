package bench

import (
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
	"scumble/static"
	"scumble/web"
)

func TestMain(m *testing.M) { storetest.Main(m) }

const (
	customer = "Hollis Quarnby-Testcustomer"
	contact  = "quarnby@customer.example"
	pin      = "7306"
)

// testShop is a shop with two people, one car and its pieces, and the bench in front.
type testShop struct {
	t      *testing.T
	store  *store.Store
	server *httptest.Server
	front  front
	owner  restoration.Actor
	ada    restoration.Person
	ben    restoration.Person
	device restoration.Device
	token  string // of the tablet
	car    restoration.Car
	pieces map[string]restoration.Piece

	mu  sync.Mutex
	now time.Time
}

// clock is Wednesday 25 March 2026, 09:00 UTC until a test moves it.
func (s *testShop) clock() time.Time {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.now
}

func (s *testShop) pass(d time.Duration) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.now = s.now.Add(d)
}

func setup(t *testing.T) *testShop {
	t.Helper()
	s := &testShop{t: t, now: time.Date(2026, 3, 25, 9, 0, 0, 0, time.UTC), pieces: map[string]restoration.Piece{}}
	s.store = storetest.NewWith(t, store.Options{Now: s.clock})
	ctx := t.Context()
	boss, err := s.store.CreateOwner(ctx, "Olive", "no hash")
	require.NoError(t, err)
	s.owner = restoration.Actor{PersonID: boss.ID}
	s.ada, s.ben = s.person("Ada Fennimore"), s.person("Ben Ostrowick")
	s.device, s.token = s.tablet("Bench 1")
	s.car = s.newCar("1936 Brennick Eight", "Glove-box door", "Instrument panel", "Ash tray", "Windscreen moulding", "Door capping left")

	s.serve(s.store, s.store.Sessions())
	return s
}

// serve puts the bench in front of shop.
func (s *testShop) serve(shop Shop, sessions scs.Store) {
	root := chi.NewRouter()
	root.Use(web.Guard)
	root.Mount("/static", static.Handler())
	live := web.NewLive(s.store.Changes)
	root.Route("/bench", New(Options{Shop: shop, Sessions: NewSessions(sessions, false), Now: s.clock, Live: live}).Routes)
	s.front.hand(root)
	s.server = httptest.NewServer(&s.front)
	s.t.Cleanup(s.server.Close)
	s.t.Cleanup(live.HangUp) // runs first: the server waits for its streams
}

// front hands requests on to what stands behind it, which may be another while it serves.
type front struct{ behind atomic.Pointer[http.Handler] }

func (f *front) hand(h http.Handler)                              { f.behind.Store(&h) }
func (f *front) ServeHTTP(w http.ResponseWriter, r *http.Request) { (*f.behind.Load()).ServeHTTP(w, r) }

// between puts a handler before what the shop serves.
func (s *testShop) between(serve func(w http.ResponseWriter, r *http.Request, inner http.Handler)) {
	inner := *s.front.behind.Load()
	s.front.hand(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { serve(w, r, inner) }))
}

// pinHash is costly to make, on purpose.
var pinHash = sync.OnceValues(func() (string, error) { return access.HashSecret(pin) })

func (s *testShop) person(name string) restoration.Person {
	hash, err := pinHash()
	require.NoError(s.t, err)
	p, err := s.store.AddPerson(s.t.Context(), s.owner, name, restoration.RoleTechnician, "", hash)
	require.NoError(s.t, err)
	return p
}

func (s *testShop) code(name string) string {
	code, hash, err := access.NewCode()
	require.NoError(s.t, err)
	_, err = s.store.AddDevice(s.t.Context(), s.owner, name, hash, s.clock().Add(time.Hour))
	require.NoError(s.t, err)
	return code
}

func (s *testShop) tablet(name string) (restoration.Device, string) {
	token, hash, err := access.NewToken()
	require.NoError(s.t, err)
	d, err := s.store.EnrolDevice(s.t.Context(), access.HashCode(s.code(name)), hash)
	require.NoError(s.t, err)
	return d, token
}

func (s *testShop) newCar(name string, pieces ...string) restoration.Car {
	var list []restoration.NewPiece
	for i, p := range pieces {
		list = append(list, restoration.NewPiece{LiesAt: "Rack " + strconv.Itoa(i+1) + ", hook 4", Details: restoration.Details{
			Name: p, Zone: restoration.ZoneFront, Order: i, AreaM2: 0.1, BothM2: 0.2, Size: restoration.SizeMedium,
			Mounting: restoration.MountBench, Metal: "steel", Set: "Front",
		}})
	}
	ctx := s.t.Context()
	car, err := s.store.NewCar(ctx, s.owner, restoration.Car{
		Name: name, Body: "saloon", Customer: customer, Contact: contact, RateCents: 98765,
		Quality: restoration.QualityShow, Ground: "#a8743f", Grain: "#3b2413", State: restoration.CarSurvey,
	}, list)
	require.NoError(s.t, err)
	s.enter(restoration.Event{Kind: restoration.KindCarStart, CarID: car.ID, PersonID: s.owner.PersonID})
	rows, err := s.store.CarPieces(ctx, car.ID)
	require.NoError(s.t, err)
	for _, p := range rows {
		s.pieces[p.Name] = p
	}
	return car
}

// enter puts one event into the ledger at the shop's hour and wants it applied.
func (s *testShop) enter(e restoration.Event) {
	s.t.Helper()
	if e.At.IsZero() {
		e.At = s.clock()
	}
	id, err := restoration.ParseID(newID())
	require.NoError(s.t, err)
	e.ID = id
	out, err := s.store.Enter(s.t.Context(), []restoration.Event{e})
	require.NoError(s.t, err)
	require.Equal(s.t, restoration.Applied, out[0].Result, out[0].Reason)
}

// piece reads a piece as it stands.
func (s *testShop) piece(name string) restoration.Piece {
	s.t.Helper()
	p, err := s.store.FindPiece(s.t.Context(), s.pieces[name].ID)
	require.NoError(s.t, err)
	return p
}

// advance ticks the piece's next n steps, each a week after the one before, the last
// one now.
func (s *testShop) advance(name string, who restoration.Person, n int) {
	s.t.Helper()
	for i := range n {
		p := s.piece(name)
		route, err := s.store.FindRoute(s.t.Context(), p.RouteID)
		require.NoError(s.t, err)
		stage, ok := route.Stage(p.Sum.NextStage)
		require.True(s.t, ok)
		e := restoration.Event{Kind: restoration.KindTick, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: who.ID,
			DeviceID: s.device.ID, At: s.clock().Add(-time.Duration(n-1-i) * 8 * 24 * time.Hour)}
		hours := stage.Standard(p.Size).Likely
		e.Hours = &hours
		for _, c := range stage.Checks {
			e.Checks = append(e.Checks, c.Key)
		}
		e.Checks = append(e.Checks, restoration.CheckScuffed)
		s.enter(e)
	}
}

// browser is a tablet's browser without a script.
type browser struct {
	t      *testing.T
	shop   *testShop
	client *http.Client
}

// page is an answer that has been read.
type page struct {
	status int
	path   string // after all redirects
	body   string
	header http.Header
}

// open gives a browser with the tablet's cookie, or without.
func (s *testShop) open(enrolled bool) *browser {
	jar, err := cookiejar.New(nil)
	require.NoError(s.t, err)
	b := &browser{t: s.t, shop: s, client: &http.Client{Jar: jar}}
	if enrolled {
		at, err := url.Parse(s.server.URL + "/bench")
		require.NoError(s.t, err)
		jar.SetCookies(at, []*http.Cookie{{Name: deviceCookie, Value: s.token, Path: "/bench"}})
	}
	return b
}

// signIn is [testShop.open] with a person signed in.
func (s *testShop) signIn(p restoration.Person) *browser {
	b := s.open(true)
	got := b.post("/bench/pin/"+strconv.FormatInt(p.ID, 10), url.Values{"pin": {pin}})
	require.Equal(s.t, "/bench", got.path)
	return b
}

func (b *browser) get(path string) page {
	b.t.Helper()
	res, err := b.client.Get(b.shop.server.URL + path)
	require.NoError(b.t, err)
	return b.read(res)
}

// from gets a page from another, as a link or a form on it does.
func (b *browser) from(referer, path string) page {
	b.t.Helper()
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodGet, b.shop.server.URL+path, nil)
	require.NoError(b.t, err)
	r.Header.Set("Referer", b.shop.server.URL+referer)
	res, err := b.client.Do(r)
	require.NoError(b.t, err)
	return b.read(res)
}

func (b *browser) post(path string, form url.Values) page {
	b.t.Helper()
	res, err := b.client.PostForm(b.shop.server.URL+path, form)
	require.NoError(b.t, err)
	return b.read(res)
}

func (b *browser) send(path, body string) page {
	b.t.Helper()
	res, err := b.client.Post(b.shop.server.URL+path, "application/json", strings.NewReader(body))
	require.NoError(b.t, err)
	return b.read(res)
}

func (b *browser) read(res *http.Response) page {
	b.t.Helper()
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	require.NoError(b.t, err)
	return page{status: res.StatusCode, path: res.Request.URL.Path, body: string(body), header: res.Header}
}

// startOf takes the piece's next step in hand.
func startOf(s *testShop, name string, who restoration.Person) restoration.Event {
	p := s.piece(name)
	return restoration.Event{Kind: restoration.KindStart, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: who.ID, DeviceID: s.device.ID}
}

func holdOf(s *testShop, name string, who restoration.Person, reason string) restoration.Event {
	return restoration.Event{Kind: restoration.KindHold, PieceID: s.pieces[name].ID, PersonID: who.ID, DeviceID: s.device.ID,
		Payload: restoration.Payload{Reason: reason}}
}
