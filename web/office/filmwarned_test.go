package office

import (
	"net/http"
	"net/url"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

// warns requires that a form is answered with warnings, gives the page, and adds to the form what a
// browser would send with it the next time.
func (f floor) warns(path string, typed url.Values) markup {
	f.shopWindow.t.Helper()
	a := f.submit(path, typed)
	require.Equal(f.shopWindow.t, http.StatusUnprocessableEntity, a.code)
	page := parsePage(f.shopWindow.t, a.body)
	typed.Del(warnedField)
	for _, input := range page.all("input", "name", warnedField) {
		typed.Add(warnedField, attribute(input, "value"))
	}
	require.NotEmpty(f.shopWindow.t, typed[warnedField])
	return page
}

// coats counts those that are logged on a piece.
func (f floor) coats(p restoration.Piece) (n int) {
	f.shopWindow.t.Helper()
	film, err := f.bench.store.Film(f.shopWindow.t.Context(), p.ID)
	require.NoError(f.shopWindow.t, err)
	for _, d := range film {
		if d.Kind == restoration.KindCoat {
			n++
		}
	}
	return n
}

// The example clear's sheet says 55–68 µm wet. What speaks against a coat is said before it
// is logged, once, with all that was typed; a form that was changed and is warned of otherwise
// is asked once more.
func TestWarningsAreSaidBeforeACoatIsLogged(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID) + "/film"
	form := f.coatForm(step)
	form.Set(coatWet, "90")
	form.Set(coatScuffed, "on")
	page := f.warns(path, form)
	said := text(page.one("div", "id", "warned"))
	require.Contains(t, said, "Nothing is logged yet.")
	require.Contains(t, said, "90 µm wet is thicker than the sheet: 55–68 µm.")
	require.Contains(t, page.text(), "Log the coat all the same")
	require.Contains(t, page.text(), "Log the reading", "the other forms are as they were")
	require.NotContains(t, page.text(), "Log the reading all the same")
	require.Equal(t, "90", attribute(page.one("input", "name", coatWet), "value"))
	require.NotEmpty(t, page.all("input", "name", coatScuffed, "checked", ""))
	require.Empty(t, page.all("div", "class", "notice notice-error"))
	require.Zero(t, f.coats(p))

	form.Set(coatWet, "40")
	said = text(f.warns(path, form).one("div", "id", "warned"))
	require.Contains(t, said, "40 µm wet is thinner than the sheet")
	require.NotContains(t, said, "thicker")
	require.Zero(t, f.coats(p))

	form.Set(coatWet, "90")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code, "that was said already")
	require.Contains(t, f.page(piecePath(p.ID)).within("film").text(), "Warned: 90 µm wet is thicker than the sheet: 55–68 µm.")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code, "sent twice: the coat that it logged makes another warning, of itself")
	require.Equal(t, 1, f.coats(p))
}

// While somebody reads that the coat before is five minutes old it becomes six.
func TestAWarningIsTheSameAMinuteLater(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID) + "/film"
	form := f.coatForm(step)
	form.Set("coat_when", "2026-03-27T09:00")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code, "nothing speaks against it")
	form.Del("id")
	form.Set("coat_when", "2026-03-27T09:05")
	require.Contains(t, text(f.warns(path, form).one("div", "id", "warned")), "The coat before was 5 min old")
	form.Set("coat_when", "2026-03-27T09:06")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code)
}

// What asks for a reason and what only warns are said at once, so that a third touch is
// never needed; what can't be read leaves what was said as it was.
func TestWarningsAndQuestionsComeTogether(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID) + "/film"
	form := f.coatForm(step)
	form.Set(coatWet, "90")
	form.Set(coatSurface, "5") // wet, at 21 °C and 48 %
	page := f.warns(path, form)
	require.NotEmpty(t, page.all("p", "id", coatReason+"-error"))
	require.Contains(t, page.text(), "90 µm wet is thicker than the sheet")
	require.Empty(t, page.all("div", "id", "warned"), "the page begins at its faults")
	require.NotContains(t, page.text(), "all the same")
	form.Set(coatML, "much")
	f.warns(path, form)
	form.Set(coatML, "60")
	form.Set(coatReason, "tested on a sample")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code)
	require.Equal(t, 1, f.coats(p))
}

// The shop has tins of the clear and of its hardener: a coat that names none, or one without
// the other, says so before. What is said is what the ledger then keeps.
func TestATinThatIsNotNamedIsSaidBefore(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID) + "/film"
	form := f.coatForm(step)
	material, err := strconv.ParseInt(form.Get(coatMaterial), 10, 64)
	require.NoError(t, err)
	for part, number := range []string{"C-1", "H-1"} {
		_, err := f.bench.store.SaveLot(t.Context(), f.by, restoration.Lot{Material: material, Part: part, Number: number, AmountML: 1000})
		require.NoError(t, err)
	}
	lots, err := f.bench.store.Lots(t.Context())
	require.NoError(t, err)
	require.Len(t, lots, 2)
	require.Contains(t, text(f.warns(path, form).one("div", "id", "warned")), "No tin is named: nobody will find this piece by its lot.")
	for _, l := range lots {
		if l.Part == 0 {
			form.Set(coatTin, formatID(l.ID))
		}
	}
	said := f.warns(path, form).within("warned").all("li")
	require.Len(t, said, 1)
	require.Contains(t, text(said[0]), "No tin of hardener is named")
	require.Equal(t, http.StatusSeeOther, f.submit(path, form).code)
	entries, err := f.bench.store.History(t.Context(), restoration.HistoryFilter{PieceID: p.ID, Limit: 1})
	require.NoError(t, err)
	require.Equal(t, []string{text(said[0])}, entries[0].Event.Facts.Warnings)
}

func TestWarningsAreSaidBeforePassesAndReadings(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	p, step := f.clearing()
	path := piecePath(p.ID) + "/film"
	cut := url.Values{"kind": {string(restoration.KindCutPass)}, cutStep: {step}, cutGrade: {"P1500"}}
	page := f.warns(path, cut)
	require.Contains(t, text(page.one("div", "id", "warned")), "No clear is logged, so nobody knows how much may go.")
	require.Contains(t, page.text(), "Log it all the same")
	require.Equal(t, http.StatusSeeOther, f.submit(path, cut).code)

	read := url.Values{"kind": {string(restoration.KindReading)}, readSpot: {"centre"}, readFilms: {"208 211"}, readBaseline: {"on"}, readGloss: {"84"}, readAngle: {"20"}}
	page = f.warns(path, read)
	require.Contains(t, text(page.one("div", "id", "warned")), "A spot is the mean of at least 3 readings (SSPC-PA 2); it has 2.")
	require.Contains(t, page.text(), "Log the reading all the same")
	film, err := f.bench.store.Film(t.Context(), p.ID)
	require.NoError(t, err)
	require.Len(t, film, 1, "neither of the two readings")
	require.Equal(t, http.StatusSeeOther, f.submit(path, read).code)
}
