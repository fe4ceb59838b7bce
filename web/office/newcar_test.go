package office

import (
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// newCarValues is a form as a person sends it who types little.
func newCarValues(from source) url.Values {
	return url.Values{"source": {string(from)}, "body_list": {"saloon"}, "name": {"1936 Brennick Eight"}, "quality": {"show"}, "pair": {"oak"}}
}

func TestParseCar(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change map[string]string
		field  string // at which something is wrong; "" nothing is
	}{
		"little":                     {nil, ""},
		"no name":                    {map[string]string{"name": ""}, "name"},
		"a long name":                {map[string]string{"name": strings.Repeat("x", 61)}, "name"},
		"a quality that is none":     {map[string]string{"quality": "best"}, "quality"},
		"a rate in words":            {map[string]string{"rate": "usual"}, "rate"},
		"a negative rate":            {map[string]string{"rate": "-1"}, "rate"},
		"a day that is none":         {map[string]string{"arrived": "2026-02-30"}, "arrived"},
		"promised before arrived":    {map[string]string{"arrived": "2026-03-27", "promised": "2026-03-26"}, "promised"},
		"promised on the same day":   {map[string]string{"arrived": "2026-03-27", "promised": "2026-03-27"}, ""},
		"expected the wrong way":     {map[string]string{"expect_from": "2026-03-27", "expect_to": "2026-03-26"}, "expect_to"},
		"expected from only":         {map[string]string{"expect_from": "2026-03-27"}, "expect_from"},
		"own colours":                {map[string]string{"pair": "own", "ground": "#ABCDEF", "grain": "123456"}, ""},
		"own colours that are none":  {map[string]string{"pair": "own", "ground": "red", "grain": "#123456"}, "ground"},
		"a style in a colour":        {map[string]string{"pair": "own", "ground": "#123456;x:y", "grain": "#123456"}, "ground"},
		"words too many to read":     {map[string]string{"words": strings.Repeat("x", 2001)}, "words"},
		"a note with a control sign": {map[string]string{"note": "a\x07b"}, "note"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: newCarValues(fromNone)}
			for k, v := range c.change {
				f.values.Set(k, v)
			}
			parseCar(f)
			require.Equal(t, c.field == "", f.ok(), "%v", f.faults)
			if c.field != "" {
				require.NotEmpty(t, f.error(c.field), "%v", f.faults)
			}
		})
	}
}

func TestCarRoundTrip(t *testing.T) {
	t.Parallel()
	day := func(d int) time.Time { return time.Date(2026, 4, d, 0, 0, 0, 0, time.UTC) }
	for _, c := range []restoration.Car{
		{Name: "1936 Brennick Eight", Quality: restoration.QualityShow, Ground: "#9a6a3c", Grain: "#3f2413", Scheme: "As found"},
		{Name: "Ünal & <Söhne>", Body: "coupé", Customer: "שלום", Contact: "a@b.example", Quality: restoration.QualityConcours,
			RateCents: 92_50, ArrivedOn: day(1), PromisedOn: day(30), ExpectFrom: day(20), ExpectTo: day(28),
			Ground: "#000000", Grain: "#ffffff", Scheme: "Own", Words: "Two\nlines", Note: "O'Hara; DROP TABLE cars"},
	} {
		f := &form{values: carValues(c)}
		require.Equal(t, c, parseCar(f))
		require.True(t, f.ok(), "%v", f.faults)
	}
}

func TestNewCarFromBody(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	page := b.get(newCarPath)
	require.Equal(t, http.StatusOK, page.code)
	body, ok := trimlist.FindBody("saloon")
	require.True(t, ok)
	require.Contains(t, page.body, fmt.Sprintf("Saloon, %d pieces", len(body.Pieces)))
	require.Contains(t, page.body, `value="2026-03-27"`, "arrived today")

	a := b.post(newCarPath, newCarValues(fromBody))
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	car, pieces := b.car("26-001")
	require.Equal(t, "/office/cars/26-001", a.to)
	require.Len(t, pieces, len(body.Pieces))
	require.Equal(t, "saloon", car.Body)
	require.Equal(t, "Golden oak", car.Scheme)
	require.Equal(t, "#c99b57", car.Ground)

	again := newCarValues(fromCar)
	again.Set("car", "26-001")
	require.Equal(t, "/office/cars/26-002", b.post(newCarPath, again).to)
	_, copied := b.car("26-002")
	require.Len(t, copied, len(pieces))
	again.Set("pair", "maple")
	again.Set("body", "")
	again.Set(itsFinish, "on")
	require.Equal(t, "/office/cars/26-003", b.post(newCarPath, again).to)
	like, copied := b.car("26-003")
	require.Equal(t, []string{car.Body, car.Scheme, car.Ground, car.Grain}, []string{like.Body, like.Scheme, like.Ground, like.Grain})
	require.Len(t, copied, len(pieces))
	require.Equal(t, pieces[0].Name, copied[0].Name)
	require.NotEqual(t, pieces[0].Label, copied[0].Label)

	require.Equal(t, "/office/cars/26-004", b.post(newCarPath, newCarValues(fromNone)).to)
}

func (b *shopWindow) car(workOrder string) (restoration.Car, []restoration.Piece) {
	b.t.Helper()
	car, err := b.store.FindCar(b.t.Context(), workOrder)
	require.NoError(b.t, err)
	pieces, err := b.store.CarPieces(b.t.Context(), car.ID)
	require.NoError(b.t, err)
	return car, pieces
}

func TestNewCarKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	v := newCarValues(fromBody)
	v.Set("name", "")
	v.Set("customer", `O'Hara "& <Sons>"`)
	v.Set("body_list", "coupe")
	v.Set("words", "</textarea><script>alert(1)</script>")
	a := b.post(newCarPath, v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Type year, marque and model")
	require.Contains(t, a.text(), `value="O'Hara "& <Sons>""`)
	require.Contains(t, a.body, `<option value="coupe" selected>`)
	require.Contains(t, a.body, `id="pair-oak" type="radio" name="pair" value="oak" checked`)
	require.NotContains(t, a.body, "<script>alert")

	v = newCarValues(fromCar)
	v.Set("car", "26-999")
	a = b.post(newCarPath, v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Choose the car whose list is to be used again.")
	v = newCarValues("the moon")
	require.Equal(t, http.StatusUnprocessableEntity, b.post(newCarPath, v).code)
	cars, err := b.store.ListCars(t.Context())
	require.NoError(t, err)
	require.Empty(t, cars, "nothing was written")
}

func TestEditCar(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	path := "/office/cars/26-001/edit"
	require.Contains(t, b.get(path).body, "1936 Brennick Eight")
	car, _ := b.car("26-001")
	v := carValues(car)
	v.Set("expect_from", "2026-04-01")
	v.Set("words", "The grain is on. <3")
	a := b.post(path, v)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Give both days, or neither.")
	v.Set("expect_to", "2026-04-09")
	a = b.post(path, v)
	require.Equal(t, "/office/cars/26-001", a.to, a.body)
	car, _ = b.car("26-001")
	require.Equal(t, "The grain is on. <3", car.Words)
	require.Equal(t, time.Date(2026, 4, 9, 0, 0, 0, 0, time.UTC), car.ExpectTo.UTC())
	require.Equal(t, http.StatusNotFound, b.get("/office/cars/26-999/edit").code)
}

func TestSwatchFollowsTheChoice(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Contains(t, b.get("/office/cars/swatch?pair=own&ground=%23112233&grain=%23445566").body, "#112233")
	a := b.get("/office/cars/swatch?pair=own&ground=%22%3E%3Cscript%3E&grain=x")
	require.Equal(t, http.StatusOK, a.code)
	require.NotContains(t, a.body, "<script>")
}
