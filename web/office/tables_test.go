package office

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// A list that was taken away goes back in as it was, and no cell of it is a formula.
func TestPiecesTableGoesBackIn(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	car, err := b.store.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "1936 Brennick Eight"}, []restoration.NewPiece{
		{Details: restoration.Details{Name: "=1+1", Zone: restoration.ZoneFront, Note: "@SUM(A1)\nsecond line", AreaM2: .12}},
		{Details: restoration.Details{Name: "Header, \"upper\"", Zone: restoration.ZoneRear, Grade: 4, Faults: []restoration.Fault{{Kind: "hole", Count: 2}}}},
	})
	require.NoError(t, err)
	a := b.get("/office/cars/" + car.WorkOrder + "/pieces.csv")
	require.Equal(t, http.StatusOK, a.code)
	require.Contains(t, a.body, "'=1+1")
	require.Contains(t, a.body, "\"'@SUM(A1)\nsecond line\"")
	again, err := trimlist.ParsePieces(strings.NewReader(a.body), trimlist.Known{Routes: []string{restoration.StockRouteKey}})
	require.NoError(t, err)
	require.Empty(t, again.Faults)
	want, err := b.store.CarPieces(t.Context(), car.ID)
	require.NoError(t, err)
	require.Len(t, again.Pieces, len(want))
	for i, p := range again.Pieces {
		require.Equal(t, want[i].Name, p.Name)
		require.Equal(t, restoration.FormatFaults(want[i].Faults), restoration.FormatFaults(p.Faults))
		require.Equal(t, want[i].Note, p.Note)
	}
	require.Equal(t, http.StatusNotFound, b.get("/office/cars/99-999/pieces.csv").code)
}

func TestHoursTableAddsUp(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	_, err := b.store.NewCar(t.Context(), restoration.Actor{}, restoration.Car{Name: "-1936 Brennick Eight"},
		[]restoration.NewPiece{{Details: restoration.Details{Name: "Header", Zone: restoration.ZoneFront}}})
	require.NoError(t, err)
	lines := strings.Split(strings.TrimPrefix(b.get("/office/hours.csv").body, trimlist.BOM), "\r\n")
	require.Equal(t, []string{
		"work_order,car,state,pieces,planned_h,logged_h,left_h,workable_h,waiting_h,held_h,rework_left_h,percent_done",
		"26-001,'-1936 Brennick Eight,survey,1,9.50,0.00,9.50,9.50,0.00,0.00,0.00,0.0",
		",shop,,1,9.50,0.00,9.50,9.50,0.00,0.00,0.00,0.0",
		"",
	}, lines)
}

// A form that comes after the session has ended is not lost.
func TestFormAfterTheSignInHasEnded(t *testing.T) {
	t.Parallel()
	b := openShop(t)
	b.addOwner()
	a := b.post("/office/cars/new", url.Values{"name": {"1936 \"Brennick\" Eight"}, "words": {"Grain <next> week"}})
	require.Equal(t, http.StatusUnauthorized, a.code)
	require.Contains(t, a.text(), "nothing is lost")
	require.Contains(t, a.text(), `value="Grain <next> week"`)
	require.Contains(t, a.body, `action="/office/cars/new"`)
	require.Contains(t, a.body, `href="/office/signin"`)
}
