package office

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"scumble/internal/restoration"
)

func TestCarPage(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.fill()
	path := carPath(car.WorkOrder)
	page := f.page(path)
	require.Equal(t, "1936 Brennick Eight", text(page.one("h1")))
	require.Contains(t, page.text(), "Work order 26-001 · saloon · for E. Marchetti-Lowe · in work")
	roll, err := f.bench.store.CarRoll(t.Context(), car.ID)
	require.NoError(t, err)
	require.Equal(t, hoursOf(roll.Left), text(page.one("a", "href", path+"?sort=-left#pieces")))
	require.Contains(t, text(page.within("live").all("ol", "class", "obstacles")[0]), "is held for 6 days: hinge pin to be found.")
	require.Len(t, page.within("pieces-list").all("input", "name", "piece"), roll.Pieces)
	require.Contains(t, page.within("past").text(), "Refused:")
	require.Len(t, page.within("past").all("li"), historyRows)
	older := attribute(page.one("a", "href", path+"/history*"), "href")
	require.NotEmpty(t, f.page(older).all("a", "rel", "next"))
}

func TestCarPageFilters(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.fill()
	path := carPath(car.WorkOrder)
	list := f.page(path + "?now=held&sort=-left").within("pieces-list")
	require.Len(t, list.all("input", "name", "piece"), 1)
	require.NotNil(t, list.one("a", "href", path+"?now=held&sort=piece"), "sorting keeps the filter")
	require.Contains(t, f.page(path+"?now=finished&zone=loose").within("pieces-list").text(), "No piece is like that")
}

func TestCarLivesThroughItsStates(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "X"}, 2)
	path := carPath(car.WorkOrder)
	for _, step := range []struct {
		kind, reason string
		want         restoration.CarState
	}{
		{"car start", "", restoration.CarInWork},
		{"car hold", "glass is being cut", restoration.CarOnHold},
		{"car release", "", restoration.CarInWork},
		{"car deliver", "fitted by the customer", restoration.CarDelivered},
		{"car reopen", "", restoration.CarInWork},
	} {
		require.NotEmpty(t, f.page(path).all("input", "name", "kind", "value", step.kind), "%s is offered", step.kind)
		require.Equal(t, path+"#acts", f.submit(path+"/entries", url.Values{"kind": {step.kind}, carReason(restoration.Kind(step.kind)): {step.reason}}).to)
		require.Len(t, f.page(path).all("div", "class", "notice notice-done"), 1, "said once, at its part of the page")
		now, err := f.bench.store.FindCarByID(t.Context(), car.ID)
		require.NoError(t, err)
		require.Equal(t, step.want, now.State, step.kind)
	}
	a := f.submit(path+"/entries", url.Values{"kind": {"tick"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "a piece's entry is none of the car's")
}

// A reason that is wanted is asked for at its field before anything is entered: what is
// refused stays in the ledger, and among what needs a look.
func TestACarsReasonIsAskedForFirst(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := carPath(car.WorkOrder)
	for _, c := range []struct{ kind, reason, says string }{
		{"car hold", "  ", "Say why the car is held"},
		{"car deliver", "", "1 piece is not finished. Finish them, or say why the car goes all the same."},
		{"car deliver", strings.Repeat("x", restoration.MaxReason+1), "shorten it to 500"},
	} {
		field := carReason(restoration.Kind(c.kind))
		a := f.submit(path+"/entries", url.Values{"kind": {c.kind}, field: {c.reason}})
		require.Equal(t, http.StatusUnprocessableEntity, a.code, c.kind)
		page := parsePage(t, a.body)
		require.Contains(t, text(page.one("p", "id", field+"-error")), c.says)
		require.Equal(t, c.reason, attribute(page.one("input", "id", field), "value"), "what was typed stays")
	}
	entries, err := f.bench.store.History(t.Context(), restoration.HistoryFilter{CarID: car.ID, RefusedOpen: true})
	require.NoError(t, err)
	require.Empty(t, entries)
}

func TestBulkChange(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 12)
	path := carPath(car.WorkOrder)
	var ids []string
	for _, p := range pieces[:10] {
		ids = append(ids, p.ID.String())
	}
	form := url.Values{"id": {newID().String()}, "piece": ids, "to_set": {"dash"}, "to_scheme": {"Red oak"}, "to_place": {"rack 2"}, "to_hold": {"waits for the glass"}, "to_grade": {"4"},
		"back": {path + "?zone=front"}}
	for range 2 { // a double click changes nothing more
		require.Equal(t, path+"?zone=front#pieces", f.post(path+"/pieces/change", form).to)
	}
	for i, p := range f.pieces(car) {
		if i >= 10 {
			require.Nil(t, p.Holding)
			continue
		}
		require.Equal(t, []any{"dash", "Red oak", "rack 2", "waits for the glass", 4}, []any{p.Set, p.Scheme, p.LiesAt, p.Holding.Reason, p.Grade})
	}
	page := f.page(path)
	require.Contains(t, page.text(), "10 pieces changed.")
	require.Contains(t, page.within("set-check").text(), "Red oak")
}

// A change that can't be made changes nothing and shows the form as it was sent.
func TestBulkChangeKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 3)
	path := carPath(car.WorkOrder)
	a := f.submit(path+"/pieces/change", url.Values{"piece": {pieces[1].ID.String()}, "to_set": {"doors"}, "to_hold": {"glass"}, "release": {"on"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	page := parsePage(t, a.body)
	require.Contains(t, text(page.one("p", "id", "to_hold-error")), "at once")
	require.Equal(t, "doors", attribute(page.one("input", "id", "to_set"), "value"))
	require.Equal(t, []bool{false, true, false}, ticked(page.all("input", "name", "piece")))
	require.Equal(t, pieces[1].Set, f.pieces(car)[1].Set)
}

func ticked(boxes []*html.Node) []bool {
	var out []bool
	for _, b := range boxes {
		out = append(out, slices.ContainsFunc(b.Attr, func(a html.Attribute) bool { return a.Key == "checked" }))
	}
	return out
}

// An id names one element, or labels and errors lead astray.
func TestIDsAreUnique(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.fill()
	path := piecePath(f.pieces(car)[6].ID)
	for _, address := range []string{"/office", carPath(car.WorkOrder), path, path + "/edit", carPath(car.WorkOrder) + "/pieces/new", "/office/work"} {
		seen := map[string]bool{}
		for _, n := range f.page(address).all("") {
			id := attribute(n, "id")
			require.False(t, id != "" && seen[id], "%s: %s", address, id)
			seen[id] = true
		}
	}
}

// HTML in every text field is shown as it was typed.
func TestNothingTypedIsMarkup(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	evil := `<script>alert("1")</script>'; DROP TABLE cars;--`
	car, pieces := f.takeIn(restoration.Car{Name: evil, Body: evil, Customer: evil, Contact: evil, Scheme: evil, Words: evil, Note: evil}, 3)
	path := piecePath(pieces[0].ID)
	d := pieces[0].Details
	d.Name, d.Place, d.Set, d.Scheme, d.SchemeReason, d.Note = evil, evil, evil, evil, evil, evil
	require.NoError(t, f.bench.store.EditPiece(t.Context(), f.by, pieces[0].ID, d, 0))
	f.submit(path+"/entries", url.Values{"kind": {"note"}, "memo": {evil}})
	f.submit(path+"/entries", url.Values{"kind": {"move"}, "place": {evil}})
	f.submit(path+"/entries", url.Values{"kind": {"hold"}, "hold_reason": {evil}})
	for _, address := range []string{"/office", carPath(car.WorkOrder), carPath(car.WorkOrder) + "/history", path, path + "/edit", path + "/history",
		"/office/work", carPath(car.WorkOrder) + "/pieces/new", "/office/search?q=" + url.QueryEscape(evil)} {
		page := f.page(address)
		for _, script := range page.all("script") {
			require.NotEmpty(t, attribute(script, "src"), address)
			require.Empty(t, text(script), address)
		}
		require.Empty(t, page.all("style"), address)
		if address != carPath(car.WorkOrder)+"/pieces/new" {
			require.Contains(t, page.text(), evil, address)
		}
	}
}

func TestAddAndEditAPiece(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "X"}, 1)
	path := carPath(car.WorkOrder)
	form := url.Values{"piece": {"Clock surround"}, "zone": {"front"}, "side": {""}, "area_m2": {"0,03"}, "mounting": {"bench"}, "metal": {"zinc"},
		"faults": {"dent x2"}, "grade": {"3"}, "lies_at": {"tray 4"}, "order": {"9"}, "size": {""}, "note": {"two studs"}}
	require.Equal(t, path, f.post(path+"/pieces", form).to)
	p := f.pieces(car)[1]
	require.Equal(t, "tray 4", p.LiesAt)
	require.Equal(t, restoration.Details{Name: "Clock surround", Zone: restoration.ZoneFront, Order: 9, AreaM2: 0.03, BothM2: 0.06, Size: restoration.SizeSmall,
		Mounting: restoration.MountBench, Metal: "zinc", Grade: 3, Faults: []restoration.Fault{{Kind: "dent", Count: 2}}, Note: "two studs"}, p.Details)

	edit := piecePath(p.ID) + "/edit"
	page := f.page(edit)
	require.Equal(t, "0.03", attribute(page.one("input", "id", "area_m2"), "value"))
	require.Equal(t, "dent x2", attribute(page.one("input", "id", "faults"), "value"))
	form.Set("piece", "Clock bezel")
	form.Set("grade", "5")
	require.Equal(t, piecePath(p.ID), f.post(edit, form).to)
	changed := f.found(p.ID)
	require.Equal(t, "Clock bezel", changed.Name)
	require.Greater(t, changed.Sum.Left, p.Sum.Left, "a worse grade takes longer")
}

func TestPieceFormSaysWhatIsWrong(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "X"}, 1)
	a := f.post(carPath(car.WorkOrder)+"/pieces", url.Values{"piece": {""}, "zone": {"roof"}, "area_m2": {"1e9"}, "grade": {"7"}, "faults": {"moth"},
		"mounting": {"bench"}, "metal": {"steel"}, "both_m2": {"x"}, "note": {"keep me"}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	page := parsePage(t, a.body)
	for field, says := range map[string]string{"piece": "Name the piece", "zone": "Choose one", "area_m2": "such as 0.12", "grade": "1 to 6",
		"faults": "no fault known here", "both_m2": "such as 0.12"} {
		require.Contains(t, text(page.one("p", "id", field+"-error")), says)
	}
	require.Equal(t, "keep me", text(page.one("textarea", "id", "note")))
	require.Len(t, f.pieces(car), 1)
}
