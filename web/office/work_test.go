package office

import (
	"bufio"
	"context"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/store"
	"scumble/internal/store/storetest"
	"scumble/static"
	"scumble/web"
	"scumble/web/ui"
)

// floor is the owner's browser on a shop at work.
type floor struct {
	*bench
	*shopWindow
	office *Office
}

// openFloor opens a shop at noon with its owner signed in.
func openFloor(t *testing.T) floor {
	t.Helper()
	now := func() time.Time { return noon }
	s := storetest.NewWith(t, store.Options{Now: now})
	sessions := scs.New()
	sessions.Store = s.Sessions()
	live := web.NewLive(s.Changes)
	o := New(Options{Shop: s, Sessions: sessions, Now: now, Live: live})
	owner, err := s.CreateOwner(t.Context(), ownerName, "not a hash")
	require.NoError(t, err)
	r := chi.NewRouter()
	r.Use(web.Guard)
	r.Handle(static.Prefix+"*", static.Handler())
	r.Route("/office", o.Routes)
	r.With(sessions.LoadAndSave).Get("/in", func(_ http.ResponseWriter, r *http.Request) {
		sessions.Put(r.Context(), sessionPerson, owner.ID)
	})
	server := httptest.NewServer(r)
	t.Cleanup(server.Close)
	t.Cleanup(live.HangUp) // runs first: the server waits for its streams
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	client := server.Client()
	client.Jar = jar
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	f := floor{bench: newBench(t, s, owner, noon), shopWindow: &shopWindow{t: t, store: s, server: server, client: client}, office: o}
	require.Equal(t, http.StatusOK, f.get("/in").code)
	return f
}

// page gets a page that must be there.
func (f floor) page(path string) markup {
	f.shopWindow.t.Helper()
	a := f.get(path)
	require.Equal(f.shopWindow.t, http.StatusOK, a.code, a.body)
	return parsePage(f.shopWindow.t, a.body)
}

// inUS has the shop measure in US units from now on.
func (f floor) inUS() {
	f.shopWindow.t.Helper()
	s, err := f.bench.store.Settings(f.shopWindow.t.Context())
	require.NoError(f.shopWindow.t, err)
	s.Units = restoration.US
	require.NoError(f.shopWindow.t, f.bench.store.SaveSettings(f.shopWindow.t.Context(), f.by, s))
}

// submit posts a form as the page drew it: its hidden fields, with what is typed.
func (f floor) submit(path string, typed url.Values) answer {
	f.shopWindow.t.Helper()
	if !typed.Has("id") {
		typed.Set("id", newID().String())
	}
	return f.post(path, typed)
}

func TestWorkNeedsAnOwner(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	jar, err := cookiejar.New(nil)
	require.NoError(t, err)
	f.client.Jar = jar // another browser
	for _, path := range []string{"/office/work", "/office/search?q=x", carPath(car.WorkOrder), piecePath(pieces[0].ID), piecePath(pieces[0].ID) + "/edit"} {
		a := f.get(path)
		require.Equal(t, http.StatusSeeOther, a.code)
		require.Equal(t, signInPath+"?next="+url.QueryEscape(path), a.to)
	}
	require.Equal(t, signInPath, f.get("/office").to)
	require.Equal(t, http.StatusUnauthorized, f.submit(piecePath(pieces[0].ID)+"/entries", url.Values{"kind": {"note"}, "memo": {"x"}}).code)
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.server.URL+"/office/live", nil)
	require.NoError(t, err)
	r.Header.Set("Accept", "text/event-stream")
	resp, err := f.client.Do(r)
	require.NoError(t, err)
	require.NoError(t, resp.Body.Close())
	require.Equal(t, http.StatusUnauthorized, resp.StatusCode)
}

func TestShopPage(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	late, young := f.fill()
	p := f.page("/office")
	roll, err := f.bench.store.Roll(t.Context(), false)
	require.NoError(t, err)
	table := p.within("shop")
	require.Equal(t, ui.Num(roll.Total.Left.Hours(), 2), text(table.one("a", "href", "/office/work")))
	require.Equal(t, late.Name, text(p.one("a", "id", "car-"+late.WorkOrder)), "the nearest promise stands first")
	require.NotEmpty(t, p.all("a", "href", carPath(young.WorkOrder)+"?now=workable#pieces"))
	look := p.within("look").text()
	for _, said := range []string{"Refused entries", "Late cars", "3 days late", "Held", "hinge pin to be found", "for 6 days",
		"1931 Ostrey Tourer is on hold", "Worked against a wait", "warmed by lamps"} {
		require.Contains(t, look, said)
	}
	require.Contains(t, p.text(), "Ida Marl nothing in hand")
	require.Contains(t, p.text(), "since 11:20")
}

func TestSettleTakesARefusalOffTheList(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	f.enter(restoration.Refused, restoration.Event{Kind: restoration.KindHold, PieceID: pieces[0].ID})
	look := f.page("/office").within("look")
	require.Contains(t, look.text(), "Say why the piece is held")
	a := f.post("/office/settle", url.Values{"id": {attribute(look.one("input", "name", "id"), "value")},
		"ref": {attribute(look.one("input", "name", "ref"), "value")}})
	require.Equal(t, http.StatusSeeOther, a.code)
	require.NotContains(t, f.page("/office").within("look").text(), "Say why the piece is held")
}

// Three pieces that were held without a word are one line; one that is held with one
// since has gone through. Each line is settled by one button.
func TestSettleAllOfALine(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 4)
	for _, p := range pieces {
		f.enter(restoration.Refused, restoration.Event{Kind: restoration.KindHold, PieceID: p.ID})
	}
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindHold, PieceID: pieces[0].ID, Payload: restoration.Payload{Reason: "hinge pin"}})
	look := f.page("/office").within("look")
	require.Contains(t, look.text(), "3 pieces refused: put on hold.")
	require.Contains(t, look.text(), "Went through since.")
	require.Contains(t, look.text(), "Settle all 3")
	form := url.Values{}
	for _, name := range []string{"id", "ref"} {
		for _, input := range look.all("input", "name", name)[3:6] {
			form.Add(name, attribute(input, "value"))
		}
	}
	require.Equal(t, http.StatusSeeOther, f.post("/office/settle", form).code)
	page := f.page("/office")
	require.Contains(t, page.text(), "3 refused entries are settled.")
	require.NotContains(t, page.within("look").text(), "3 pieces refused")
	require.Contains(t, page.within("look").text(), "Went through since.")
	form.Del("ref")
	require.Equal(t, http.StatusUnprocessableEntity, f.post("/office/settle", form).code)
}

func TestDeliveredCarsStandBehindALink(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 1)
	path := carPath(car.WorkOrder) + "/entries"
	f.submit(path, url.Values{"kind": {"car deliver"}, "reason-car-deliver": {"the customer fits it himself"}})
	require.NotContains(t, f.page("/office").within("shop").text(), "Brennick")
	require.Contains(t, f.page("/office?delivered=1").within("shop").text(), "Brennick")
}

// A tick is told on the stream, and stands on the page that is refetched for it.
func TestTickIsLive(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 3)
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, f.server.URL+"/office/live", nil)
	require.NoError(t, err)
	resp, err := f.client.Do(r)
	require.NoError(t, err)
	defer resp.Body.Close()
	require.Equal(t, "text/event-stream", resp.Header.Get("Content-Type"))
	lines := bufio.NewScanner(resp.Body)
	require.Contains(t, nextData(t, lines), `"seq":0`, "the stream is listening")

	start := time.Now()
	f.enter(restoration.Applied, f.work(pieces[0], f.ida, restoration.KindTick))
	require.Contains(t, nextData(t, lines), `"car":`+formatID(car.ID)+`,"piece":"`+pieces[0].ID.String()+`","kind":"tick"`)
	require.Contains(t, f.page(carPath(car.WorkOrder)).within("pieces-list").text(), "Stripped")
	t.Logf("the tick stood on the page after %v", time.Since(start)) // a busy machine takes its time: logged, not judged

	f.office.live.HangUp()
	for lines.Scan() { // what is left of the stream; it ends
	}
	require.NoError(t, lines.Err())
}

// A browser that was cut off says what it heard last, and hears of what it missed.
func TestLiveGoesOnAfterACut(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	stream := func(after string) (*bufio.Scanner, func()) {
		ctx, cut := context.WithTimeout(t.Context(), 20*time.Second)
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, f.server.URL+"/office/live", nil)
		require.NoError(t, err)
		r.Header.Set("Last-Event-ID", after)
		resp, err := f.client.Do(r)
		require.NoError(t, err)
		t.Cleanup(func() { _ = resp.Body.Close() })
		return bufio.NewScanner(resp.Body), cut
	}
	lines, cut := stream("")
	id := nextField(t, lines, "id: ")
	cut()
	f.enter(restoration.Applied, f.work(pieces[0], f.ida, restoration.KindTick))
	f.enter(restoration.Applied, f.work(pieces[1], f.ida, restoration.KindTick))

	lines, cut = stream(id)
	defer cut()
	for _, p := range pieces {
		require.Contains(t, nextData(t, lines), `"piece":"`+p.ID.String()+`","kind":"tick"`)
	}
	lines, cut = stream("what nobody said")
	defer cut()
	require.Contains(t, nextData(t, lines), `"seq":0`, "look again")
}

func nextData(t *testing.T, lines *bufio.Scanner) string {
	t.Helper()
	return nextField(t, lines, "data: ")
}

// nextField reads on to the next line of a stream that begins so.
func nextField(t *testing.T, lines *bufio.Scanner, field string) string {
	t.Helper()
	for lines.Scan() {
		if data, ok := strings.CutPrefix(lines.Text(), field); ok {
			return data
		}
	}
	t.Fatal("the stream ended")
	return ""
}

// A fragment that is refetched does not take the notice from the page that follows.
func TestRefetchLeavesTheNotice(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := piecePath(pieces[0].ID)
	f.submit(path+"/entries", url.Values{"kind": {"move"}, "place": {"rack 3"}})
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.server.URL+path, nil)
	require.NoError(t, err)
	r.Header.Set("HX-Request", "true")
	resp, err := f.client.Do(r)
	require.NoError(t, err)
	require.NoError(t, resp.Body.Close())
	require.Contains(t, f.page(path).text(), "Moved to rack 3.")
	require.Empty(t, f.page(path).all("div", "class", "notice notice-done"), "it is said once")
}

func TestSearch(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1949 Larkhall Ten", Customer: "Ørsted & Söhne"}, 12)
	require.Equal(t, piecePath(pieces[4].ID), f.get("/office/search?q="+pieces[4].Label).to, "one hit opens it")
	require.Equal(t, carPath(car.WorkOrder), f.get("/office/search?q=Sohne").to)
	require.Equal(t, carPath(car.WorkOrder), f.get("/office/search?q="+car.WorkOrder).to)
	require.Len(t, f.page("/office/search?q=moulding").all("a", "href", "/office/pieces/*"), 2)
	none := f.page("/office/search?q=" + url.QueryEscape("<script>alert(1)</script>"))
	require.Contains(t, none.text(), "Nothing found for “<script>alert(1)</script>”.")
	require.Contains(t, f.page("/office/search").text(), "Type a work order")
}

func TestOpenWorkOpensTheTotals(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	f.fill()
	roll, err := f.bench.store.Roll(t.Context(), false)
	require.NoError(t, err)
	for now, want := range map[string]restoration.Minutes{"": roll.Total.Left, "workable": roll.Total.Workable,
		"waiting": roll.Total.Waiting, "held": roll.Total.Held} {
		require.Contains(t, f.page("/office/work?now="+now).within("work").text(), hoursOf(want)+" left on", now)
	}
	require.Contains(t, f.page("/office/work?page=999999999999999999999").text(), "Open work")
}

// A dead address of the office leads on.
func TestNotFoundLeadsOn(t *testing.T) {
	t.Parallel()
	a := openFloor(t).get("/office/nothing")
	require.Equal(t, http.StatusNotFound, a.code)
	require.Contains(t, a.body, `href="/office/people"`)
	require.Contains(t, a.body, `action="/office/search"`)
}
