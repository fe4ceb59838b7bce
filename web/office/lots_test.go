package office

import (
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

func TestLotState(t *testing.T) {
	t.Parallel()
	day := func(days int) time.Time { return time.Date(2026, 3, 27+days, 0, 0, 0, 0, time.UTC) }
	v := visit{Now: noon, Loc: time.UTC}
	for name, c := range map[string]struct {
		lot  restoration.Lot
		want string
	}{
		"shut":                {restoration.Lot{LeftML: 5}, "not opened yet"},
		"opened today":        {restoration.Lot{LeftML: 5, OpenedOn: day(0)}, "opened today"},
		"opened last week":    {restoration.Lot{LeftML: 5, OpenedOn: day(-8)}, "opened 8 days ago"},
		"opened long ago":     {restoration.Lot{LeftML: 5, OpenedOn: day(-36)}, "opened 5 weeks ago"},
		"opened very long":    {restoration.Lot{LeftML: 5, OpenedOn: day(-200)}, "opened 6 months ago"},
		"to be opened":        {restoration.Lot{LeftML: 5, OpenedOn: day(1)}, "to be opened on Sat 28 Mar 2026"},
		"empty":               {restoration.Lot{OpenedOn: day(-1)}, "empty by the book, opened 1 day ago"},
		"on its last day":     {restoration.Lot{LeftML: 5, ExpiresOn: day(0)}, "not opened yet"},
		"the day after":       {restoration.Lot{LeftML: 5, ExpiresOn: day(-1)}, "past its date, not opened yet"},
		"closed is told only": {restoration.Lot{ExpiresOn: day(-1), Closed: noon}, "closed on Fri 27 Mar 2026"},
	} {
		require.Equal(t, c.want, lotState(c.lot, v), name)
	}
}

func tin(m restoration.Material, part int, number string) url.Values {
	return url.Values{"tin": {tinValue(m.ID, part)}, "number": {number}, "amount": {"1 L"}, "opened": {"2026-02-20"}, "expires": {"2026-12-31"}}
}

func TestLots(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	m := b.addMaterial(marshClear())
	for name, c := range map[string]struct{ field, value, says string }{
		"holds nothing":     {"tin", "", "Choose what the tin holds."},
		"holds a lie":       {"tin", tinValue(m.ID, 7), "Choose what the tin holds."},
		"no number":         {"number", " ", "Give the tin its number"},
		"no amount":         {"amount", "0", "more than nothing"},
		"an amount unknown": {"amount", "a tin", "such as 24 mL"},
		"opened too late":   {"expires", "2026-01-01", "past its date when it was opened"},
		"no day":            {"opened", "2026-02-30", "Write the day"},
	} {
		v := tin(m, 0, "L-22 <i>")
		v.Set(c.field, c.value)
		a := b.post(lotsPath, v)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		require.Contains(t, a.text(), c.says, name)
		require.NotContains(t, a.body, "<i>")
	}
	require.Equal(t, lotsPath, b.post(lotsPath, tin(m, 1, "L-22")).to)
	require.Equal(t, lotsPath, b.post(lotsPath, tin(m, 0, "L-22")).to, "the same number on another part")
	require.Contains(t, b.post(lotsPath, tin(m, 0, "L-22")).text(), "A tin of this number is on the list already.")
	page := parsePage(t, b.get(lotsPath).body).text()
	require.Contains(t, page, "Marsh clear, hardener")
	require.Contains(t, page, "Opened 5 weeks ago")

	path := lotPath(1)
	v := tin(m, 0, "L-23")
	v.Set("expires", "2026-03-26")
	require.Equal(t, path, b.post(path+"/edit", v).to)
	require.Contains(t, b.get(path).text(), "Lot L-23 is past its date, 26 Mar 2026.")
	v.Set("amount", "lots")
	a := b.post(path+"/edit", v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, `value="lots"`)

	require.Equal(t, path, b.post(path+"/close", nil).to)
	require.Contains(t, b.get(path).text(), "Closed on Fri 27 Mar 2026")
	require.Contains(t, b.get(lotsPath).body, "closed-head")
	require.Equal(t, path, b.post(path+"/reopen", nil).to)
	require.NotContains(t, b.get(lotsPath).body, "closed-head")
	require.Equal(t, http.StatusNotFound, b.get(lotPath(99)).code)
	require.Equal(t, http.StatusNotFound, b.post(lotPath(99)+"/close", nil).code)
}

// primed enters a coat of primer from a tin on the piece, whose bare steel is ready.
func (f floor) primed(p restoration.Piece, m restoration.Material, lot restoration.Lot, ml float64) {
	f.bench.t.Helper()
	f.tick(p, 1, f.ida, noon.Add(-time.Hour))
	e := f.work(f.found(p.ID), f.ida, restoration.KindCoat)
	e.Payload = restoration.Payload{Coat: &restoration.Coat{Number: 1, Material: m.ID, ML: ml, Lots: []restoration.LotUse{{Lot: lot.ID, ML: ml}}}}
	f.enter(restoration.Applied, e)
}

// seaPrimer is a primer in one part.
func seaPrimer() url.Values {
	return url.Values{"name": {"Sea primer"}, "kind": {"epoxy primer"}, "layer": {"primer"}, "sheet": {"SP"}, "revision": {"1"},
		"parts.0.name": {"base"}, "parts.0.share": {"1"}, "parts.0.volume_solids": {"40"}, "wet_um": {"50"}, "wet_um.likely": {"60"}, "wet_um.high": {"75"}}
}

func (f floor) tinOf(m restoration.Material, number string, ml float64) restoration.Lot {
	f.bench.t.Helper()
	l, err := f.shopWindow.store.SaveLot(f.bench.t.Context(), restoration.Actor{}, restoration.Lot{Material: m.ID, Number: number, AmountML: ml})
	require.NoError(f.bench.t, err)
	return l
}

func TestEverythingFromALot(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	m := f.addMaterial(seaPrimer())
	lot, other := f.tinOf(m, "=N7", 1000), f.tinOf(m, "N8", 1000)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 3)
	second, more := f.takeIn(restoration.Car{Name: "1949 Larkhall Ten"}, 1)
	f.primed(pieces[0], m, lot, 40)
	f.primed(pieces[1], m, lot, 60)
	f.primed(pieces[2], m, other, 500)
	f.primed(more[0], m, lot, 25)

	page := f.get(lotPath(lot.ID))
	require.Equal(t, http.StatusOK, page.code)
	said := parsePage(t, page.body).text()
	require.Contains(t, said, "Everything from lot =N7")
	require.Contains(t, said, "3 pieces of 2 cars")
	require.Contains(t, said, "3 coats, 125 mL in all")
	require.Contains(t, said, "875 mL of 1 L")
	for _, want := range []string{piecePath(pieces[0].ID), piecePath(more[0].ID), carPath(car.WorkOrder), carPath(second.WorkOrder)} {
		require.Contains(t, page.body, `href="`+want+`"`)
	}
	require.NotContains(t, page.body, piecePath(pieces[2].ID))

	table := f.get(lotPath(lot.ID) + "/coats.csv")
	lines := strings.Split(strings.TrimSpace(strings.TrimPrefix(table.body, trimlist.BOM)), "\r\n")
	require.Len(t, lines, 4)
	require.True(t, strings.HasPrefix(lines[1], "'=N7,Sea primer,"+car.WorkOrder+","), "%s is no formula", lines[1])
	require.True(t, strings.HasSuffix(lines[1], ",primer,1,2026-03-27T12:00:00Z,Ida Marl,40.0"), lines[1])
	f.inUS()
	table = f.get(lotPath(lot.ID) + "/coats.csv")
	require.Contains(t, table.body, ",person,fl_oz\r\n")
	require.Contains(t, table.body, ",Ida Marl,1.35\r\n", "40 mL ÷ 29.5735")
}
