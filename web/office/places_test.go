package office

import (
	"net/http"
	"net/url"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// Before a place is retired its page says what stays there.
func TestRetiringAPlaceSaysWhatLiesThere(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	place, err := f.bench.store.AddPlace(t.Context(), restoration.Actor{}, restoration.Place{Name: "Rack A", Kind: restoration.PlaceRack})
	require.NoError(t, err)
	require.NotContains(t, f.page(placePath(place.ID)).text(), "until somebody moves it")
	_, pieces := f.takeIn(restoration.Car{Name: "1938 Wexcombe Twelve"}, 2)
	for _, p := range pieces {
		f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindMove, CarID: p.CarID, PieceID: p.ID, PersonID: f.ida.ID, Payload: restoration.Payload{Place: "Rack A"}})
	}
	require.Contains(t, f.page(placePath(place.ID)).text(), "2 pieces that lie here stay by its name until somebody moves it.")
	require.Equal(t, placesPath, f.post(placePath(place.ID)+"/retire", nil).to)
	require.Contains(t, f.page(placePath(place.ID)).text(), pieces[1].Title(), "they are found there still")
}

func TestPlaces(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get(placesPath).text(), "No place yet.")
	wrong := b.post(placesPath, url.Values{"name": {"Rack A"}, "kind": {"rack"}, "holds": {"many"}})
	require.Equal(t, http.StatusUnprocessableEntity, wrong.code)
	require.Contains(t, wrong.text(), "Type how many pieces it holds")
	require.Contains(t, wrong.body, `value="many"`, "what was typed stays")

	require.Equal(t, placesPath, b.post(placesPath, url.Values{"name": {"Rack <A>"}, "kind": {"rack"}, "holds": {"8"}}).to)
	uses, err := b.store.PlaceUses(t.Context())
	require.NoError(t, err)
	place := uses[0].Place
	list := b.get(placesPath)
	require.Contains(t, list.text(), "0 of 8")
	require.NotContains(t, list.body, "Rack <A>")
	twice := b.post(placesPath, url.Values{"name": {"rack <a>"}, "kind": {"rack"}})
	require.Equal(t, http.StatusUnprocessableEntity, twice.code)
	require.Contains(t, twice.text(), "There is a place of that name already.")

	path := placePath(place.ID)
	require.Equal(t, path, b.post(path, url.Values{"name": {"Rack B"}, "kind": {"shelf"}}).to)
	after, err := b.store.FindPlace(t.Context(), place.ID)
	require.NoError(t, err)
	require.Equal(t, []any{"Rack B", restoration.PlaceShelf, 0, place.Code}, []any{after.Name, after.Kind, after.Holds, after.Code})
	require.Contains(t, b.get(path).text(), "Nothing lies here.")

	labels := b.get(placesPath + "/labels")
	require.Equal(t, http.StatusOK, labels.code, labels.body)
	require.Contains(t, labels.body, `data-label="`+place.Code+`"`)
	require.Contains(t, labels.body, "/bench/find?code="+place.Code)
	require.Equal(t, http.StatusOK, b.get(placesPath+"/labels.pdf").code)

	require.Equal(t, placesPath, b.post(path+"/retire", nil).to)
	require.Contains(t, b.get(placesPath).text(), "may come back until")
	require.Equal(t, placesPath, b.post(path+"/back", nil).to)
	require.Contains(t, b.get(placesPath).text(), "Rack B")
	require.Equal(t, http.StatusNotFound, b.get(placesPath+"/4711").code)

	for _, days := range []string{"0", "-3", "soon", "9999"} {
		require.Equal(t, http.StatusUnprocessableEntity, b.get(placesPath+"/unseen?days="+days).code, days)
	}
	for _, page := range []string{"/unseen", "/unseen?days=7", "/out", "/cars"} {
		require.Equal(t, http.StatusOK, b.get(placesPath+page).code, page)
	}
}

// What was not seen and is off its car stands before what still lies in one.
func TestUnseenOffTheCarStandsFirst(t *testing.T) {
	t.Parallel()
	uses := []restoration.PlaceUse{{Place: restoration.Place{Name: "In the car", Kind: restoration.PlaceCar}}, {Place: restoration.Place{Name: "Rack A", Kind: restoration.PlaceRack}}}
	car := &restoration.Car{WorkOrder: "26-014"}
	lost := []restoration.Lying{{LiesAt: "in the car", Car: car}, {LiesAt: "Rack A", Car: car}, {LiesAt: "", Car: car}}
	groups := unseenGroups(lost, uses, visit{Loc: time.UTC})
	require.Len(t, groups, 2)
	require.Equal(t, "Off the car", groups[0].Title)
	require.Equal(t, []string{"Rack A", ""}, []string{groups[0].Rows[0].LiesAt, groups[0].Rows[1].LiesAt})
	require.Equal(t, "Still in their cars", groups[1].Title)
	require.Len(t, groups[1].Rows, 1)
	require.Empty(t, unseenGroups(nil, uses, visit{Loc: time.UTC}))
}
