package office

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web/ui"
)

// Two coats of 60 mL of a clear of 420 g/L: 0.120 L and 50.4 g.
func TestRecordsOfMaterial(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	for _, when := range []string{"2026-03-27T09:00", "2026-03-27T10:00"} {
		form := f.coatForm(step)
		form.Set("coat_when", when)
		require.Equal(t, http.StatusSeeOther, f.submit(piecePath(p.ID)+"/film", form).code)
	}
	page := f.page(recordsPath).text()
	for _, want := range []string{"March 2026", "2K clear", "0.120", "0.050", "keep it at least three years", "local rules decide"} {
		require.Contains(t, page, want)
	}
	lines := strings.Split(strings.TrimPrefix(f.get(recordsPath+".csv").body, trimlist.BOM), "\r\n")
	require.Equal(t, "2026-03,2K clear,\"Example clear, two-part\",,,2,0.120,0.050,0.000", lines[1])
	require.Equal(t, ",,,26-001,X,2,0.120,0.050,0.000", lines[2])
	require.Contains(t, f.page(recordsPath+"?from=2026-03-28").text(), "No coat was logged in these days.")
	require.Contains(t, f.page(recordsPath+"?to=2026-03-27").text(), "March 2026", "the last day is included")
	require.Contains(t, f.page(recordsPath+"?from=soon").text(), "Write the day as")
}

// A coat whose amount nobody typed counts with the share that its sheet and the size of the
// piece make, as at the bench, and gives as much of the tin; by the comb more or less of it.
func TestCoatWithoutAnAmountIsAsTheSheetSays(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	materials, err := f.bench.store.Materials(t.Context())
	require.NoError(t, err)
	m := materials[slices.IndexFunc(materials, func(m restoration.Material) bool { return m.Name == "Example clear, two-part" })]
	scene, err := f.bench.store.FilmScene(t.Context(), p.ID)
	require.NoError(t, err)
	route, err := f.bench.store.FindRoute(t.Context(), p.RouteID)
	require.NoError(t, err)
	share := restoration.SheetML(p, route, p.Sum.NextStep, m, scene)
	require.Positive(t, share)

	path := piecePath(p.ID) + "/film"
	form := f.coatForm(step)
	form.Del(coatML)
	form.Set("coat_when", "2026-03-27T09:00")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code)
	form.Del("id")
	form.Set("coat_when", "2026-03-27T10:00")
	form.Set(coatWet, ui.Num(m.WetUM.Likely*1.2, 1))
	f.warns(path, form) // that it is thicker than the sheet
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code)
	lines := strings.Split(strings.TrimPrefix(f.get(recordsPath+".csv").body, trimlist.BOM), "\r\n")
	litres := share * 2.2 / 1000
	require.Equal(t, fmt.Sprintf("2026-03,2K clear,\"Example clear, two-part\",,,2,%.3f,%.3f,0.000", litres, litres*m.VOCGramsPerL/1000), lines[1])
}

// The tables of paint are in the shop's units, which their heads name: 120 mL are
// 0.0317 US gal, 50.4 g are 0.1111 lb. A name with a comma, a quote or the sign of a formula
// comes out as it is, and every figure with a point.
func TestTheTablesOfAUSShop(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	car, err := f.bench.store.FindCar(t.Context(), "26-001")
	require.NoError(t, err)
	car.Name = `=HYPERLINK("x"), "30s`
	require.NoError(t, f.bench.store.EditCar(t.Context(), f.by, car))
	for _, when := range []string{"2026-03-27T09:00", "2026-03-27T10:00"} {
		form := f.coatForm(step)
		form.Set("coat_when", when)
		require.Equal(t, http.StatusSeeOther, f.submit(piecePath(p.ID)+"/film", form).code)
	}
	read := func(path string) [][]string {
		lines, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(f.get(path).body, trimlist.BOM))).ReadAll()
		require.NoError(t, err)
		return lines
	}
	for _, c := range []struct {
		head, cells []string
	}{
		{[]string{"litres", "voc_kg", "litres_without_voc_stated"}, []string{"0.120", "0.050", "0.000"}},
		{[]string{"us_gal", "voc_lb", "us_gal_without_voc_stated"}, []string{"0.032", "0.111", "0.000"}},
	} {
		lines := read(recordsPath + ".csv")
		require.Len(t, lines, 3)
		require.Equal(t, c.head, lines[0][6:])
		require.Equal(t, []string{"2026-03", "2K clear", "Example clear, two-part", "", "", "2"}, lines[1][:6])
		require.Equal(t, c.cells, lines[1][6:])
		require.Equal(t, append([]string{"", "", "", "26-001", `'=HYPERLINK("x"), "30s`, "2"}, c.cells...), lines[2], "a formula is guarded")
		f.inUS()
	}
}

func TestDefectsOpenIntoTheirEntries(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	_, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	f.tick(pieces[0], 4, f.ida, noon.AddDate(0, 0, -3))
	f.tick(pieces[1], 5, f.tom, noon.AddDate(0, 0, -3))
	cost := restoration.Minutes(90)
	for i, defect := range []string{"colour-off", "figure-wrong"} {
		f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindSendBack, CarID: pieces[i].CarID, PieceID: pieces[i].ID,
			Payload: restoration.Payload{Defect: defect, Stage: "grounded", Hours: &cost}})
	}
	page := f.page(defectsPath)
	require.Contains(t, page.text(), "2 times a piece sent back, 3 h lost")
	require.Contains(t, page.text(), "Ida Marl")
	link := page.one("a", "aria-label", "1 entry: Colour off or lots mixed")
	chosen := f.page(strings.TrimSuffix(attribute(link, "href"), "#entries"))
	require.Contains(t, chosen.text(), "1 piece sent back, 1.5 h lost")
	require.Contains(t, chosen.text(), pieces[0].Title())
	require.NotContains(t, chosen.text(), "Tom Ferrow")
	require.Contains(t, chosen.text(), "What: Colour off or lots mixed")

	table := f.get(defectsPath + ".csv?defect=figure-wrong").body
	require.Equal(t, 2, strings.Count(table, "\r\n"), "the head and one line")
	require.Contains(t, table, "26-001,"+strings.Split(pieces[1].Title(), ",")[0])
	require.Contains(t, f.page(defectsPath+"?person=999").text(), "Nothing was sent back here.")
	for _, d := range restoration.Defects() {
		require.Contains(t, page.text(), d.Name)
	}
}

func TestCertificates(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	form := url.Values{"person": {formatID(f.ida.ID)}, "kind": {"respirator fit test"}, "done": {"2025-04-20"}}
	require.Equal(t, http.StatusSeeOther, f.post(certificatesPath, form).code)
	require.Contains(t, f.page(certificatesPath).text(), "Mon 20 Apr 2026 runs out in 25 days", "a fit test lasts a year")
	require.Contains(t, f.page("/office").within("look").text(), "Ida Marl: respirator fit test runs out in 25 days")

	for field, v := range map[string]string{"person": "", "kind": "", "done": "1 Jan 1066", "until": "2024-01-01"} {
		bad := url.Values{"person": {formatID(f.ida.ID)}, "kind": {"Crane"}, "done": {"2025-04-20"}, "lasting": {"on"}}
		bad.Set(field, v)
		a := f.post(certificatesPath, bad)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, field)
		require.NotEmpty(t, parsePage(t, a.body).all("p", "id", field+"-error"), field)
	}
	crane := url.Values{"person": {formatID(f.ida.ID)}, "kind": {"Crane"}, "done": {"2025-04-20"}}
	require.Contains(t, f.post(certificatesPath, crane).text(), "Say until when it is good, or that it does not run out.")

	form.Set("done", "2026-03-20")
	require.Equal(t, http.StatusSeeOther, f.post(certificatesPath, form).code, "renewed")
	require.NotContains(t, f.page("/office").text(), "respirator fit test runs out", "only the latest of a kind counts")

	list, err := f.bench.store.Certificates(t.Context())
	require.NoError(t, err)
	require.Equal(t, http.StatusSeeOther, f.post(certificatesPath+"/"+formatID(list[0].ID)+"/drop", nil).code)
	left, err := f.bench.store.Certificates(t.Context())
	require.NoError(t, err)
	require.Len(t, left, len(list)-1)
}

func TestBetweenDaysOfTheShop(t *testing.T) {
	t.Parallel()
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	f := &form{values: url.Values{fromKey: {"2026-03-29"}, toKey: {"2026-03-29"}}}
	from, to := f.between(noon, berlin, time.Time{})
	require.Equal(t, 23*time.Hour, to.Sub(from), "the day on which the clocks go forward")
	require.True(t, f.ok())
	f.values.Set(toKey, "2026-03-28")
	f.between(noon, berlin, time.Time{})
	require.Contains(t, f.error(toKey), "lies before the first one")
}
