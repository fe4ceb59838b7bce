package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"

	"scumble/internal/colour"
	"scumble/internal/instrument"
	"scumble/internal/restoration"
)

func TestGuessColumns(t *testing.T) {
	t.Parallel()
	for heads, want := range map[string]string{
		"Piece,Spot,Thickness µm,Gloss GU,Angle": "piece=1 spot=2 angle=5 gloss=4 value=3 l=0 a=0 b=0 um",
		"Sample;L*;a*;b*":                        "piece=1 spot=0 angle=0 gloss=0 value=0 l=2 a=3 b=4 ",
		"No.,Reading (mils)":                     "piece=0 spot=0 angle=0 gloss=0 value=2 l=0 a=0 b=0 mil",
		"alpha,beta,lambda":                      "piece=0 spot=0 angle=0 gloss=0 value=0 l=0 a=0 b=0 ",
		"Batch,Label":                            "piece=2 spot=0 angle=0 gloss=0 value=0 l=0 a=0 b=0 ",
	} {
		v := url.Values{}
		guessColumns(v, strings.FieldsFunc(heads, func(r rune) bool { return r == ',' || r == ';' }))
		var got strings.Builder
		for _, c := range readingColumns() {
			fmt.Fprintf(&got, "%s=%s ", c.key, v.Get(columnField(c.key)))
		}
		require.Equal(t, want, got.String()+v.Get("unit"), heads)
	}
}

// exported is the form as the page that showed an export would send it back.
func (f floor) exported(path string, v url.Values, file string) url.Values {
	f.shopWindow.t.Helper()
	a := f.upload(path, v, []byte(file))
	require.Equal(f.shopWindow.t, http.StatusOK, a.code, a.text())
	page, back := parsePage(f.shopWindow.t, a.body), url.Values{"act": {"confirm"}, listText: {file}, listSeen: {seen(f.shopWindow.t, a.body)}}
	for _, s := range page.all("select") {
		back.Set(attribute(s, "name"), "")
		for n := range s.Descendants() {
			if slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == "selected" }) {
				back.Set(attribute(s, "name"), attribute(n, "value"))
			}
		}
	}
	return back
}

func TestReadingsImport(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	path := carPath(car.WorkOrder) + "/readings"
	file := "Gauge 7\r\nPiece;Spot;Film µm;Gloss;Angle\r\n" +
		fmt.Sprintf("%[1]s;A;212,5;;\r\n%[1]s;A;210;;\r\n%[1]s;A;211;84;20\r\n%[2]s;B;;90;60\r\n", pieces[0].Title(), strings.ToUpper(pieces[1].Label))
	a := f.upload(path, url.Values{"act": {"confirm"}}, []byte(file))
	require.Contains(t, a.text(), "3 readings of 2 pieces. Nothing is entered yet.", "shown first, whatever the button says")
	form := f.exported(path, url.Values{"act": {"look"}}, file)
	a = f.upload(path, form, nil)
	require.Equal(t, http.StatusSeeOther, a.code, a.text())
	film, err := f.bench.store.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Len(t, film, 3)

	// A second import of the same file changes nothing.
	a = f.upload(path, form, nil)
	require.Contains(t, a.text(), "Every reading of this export was entered before.")
	again, err := f.bench.store.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Equal(t, film, again)

	// Nor does one whose columns stand in another order.
	turned := "Gauge 7\r\nFilm µm;Angle;Gloss;Spot;Piece\r\n" +
		fmt.Sprintf("212,5;;;A;%[1]s\r\n211;20;84;A;%[1]s\r\n210;;;A;%[1]s\r\n;60;90;B;%[2]s\r\n\r\n\r\n", pieces[0].Title(), pieces[1].Label)
	a = f.upload(path, url.Values{"act": {"look"}}, []byte(turned))
	require.Contains(t, a.text(), "Every reading of this export was entered before.")

	// What was struck out comes in again, the rest stays.
	struck := film[slices.IndexFunc(film, func(d restoration.Deed) bool { return d.Reading.Kind == restoration.ReadFilm })]
	f.enter(restoration.Applied, restoration.Event{Kind: restoration.KindStrike, PieceID: struck.PieceID,
		Payload: restoration.Payload{Ref: struck.EventID, Reason: "the gauge stood on the wrong foil"}})
	a = f.upload(path, f.exported(path, url.Values{"act": {"look"}}, turned), nil)
	require.Equal(t, http.StatusSeeOther, a.code, a.text())
	require.Contains(t, f.page(a.to).text(), "1 reading is entered.")
	again, err = f.bench.store.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Len(t, again, 3)
	require.NotContains(t, again, struck)
}

// No figure is parted from its letter or its unit, on the page of an export and on a piece's.
func TestFiguresOfAReadingStayOnOneLine(t *testing.T) {
	t.Parallel()
	um, lab, gloss := 208.4, colour.Lab{L: 38.5, A: 17, B: 43.3}, colour.Gloss{GU: 84, Angle: 20}
	const wantLab, wantGloss = "L*\u00a038.5, a*\u00a017.0, b*\u00a043.3", "84\u00a0GU at 20°"
	require.Equal(t, "208.4\u00a0µm; "+wantGloss+"; "+wantLab, valueWords(instrument.Values{FilmUM: &um, Gloss: &gloss, Lab: &lab}, unitsOf(restoration.Metric).film))
	for want, r := range map[string]restoration.Reading{wantLab: {Lab: &lab}, wantGloss: {Gloss: &gloss}, "208.4\u00a0µm": {FilmUM: []float64{um}}} {
		_, figures := readingWords(r, restoration.Metric)
		require.Equal(t, want, figures)
	}
}

func TestReadingsFaults(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	path := carPath(car.WorkOrder) + "/readings"
	name := pieces[0].Title()
	for what, c := range map[string]struct {
		file string
		says []string
	}{
		"no file":        {"", []string{"Choose the instrument's CSV file, or paste it below."}},
		"wrong columns":  {"Day,Hour\nMonday,noon\n", []string{"no column is chosen for a reading", "Choose the column of the film, the gloss or the colour."}},
		"3,000 µm":       {"Piece,Film\n" + name + ",3000\n", []string{"is more than 2,000 µm"}},
		"no such piece":  {"Piece,Film\nChandelier,212\n", []string{"no piece is called", "Write the label code of the piece"}},
		"mixed decimals": {"Piece;Film\n" + name + ";212,5\n" + name + ";211,5\n" + name + ";210.5\n", []string{"decimal"}},
		"no number":      {"Piece,Film\n" + name + ",thick\n" + name + ",200\n", []string{"is no number"}},
	} {
		a := f.upload(path, url.Values{"act": {"confirm"}}, []byte(c.file))
		require.Equal(t, http.StatusUnprocessableEntity, a.code, what)
		for _, says := range c.says {
			require.Contains(t, a.text(), says, what)
		}
		require.Contains(t, a.text(), strings.TrimSpace(c.file), "nothing is lost: "+what)
	}
	film, err := f.bench.store.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Empty(t, film)
}

// Bytes that are no UTF-8 are an instrument's old letters, not lost ones.
func TestReadingsOfOnePieceInOldLetters(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 2)
	path := carPath(car.WorkOrder) + "/readings"
	form := f.exported(path, url.Values{"one": {pieces[1].ID.String()}, "act": {"look"}}, "Place;Film \xb5m\nA;200\nA;202\nA;204\n")
	form.Set(listText, "Place;Film µm\nA;200\nA;202\nA;204\n")
	require.Equal(t, http.StatusSeeOther, f.upload(path, form, nil).code)
	film, err := f.bench.store.Film(t.Context(), pieces[1].ID)
	require.NoError(t, err)
	require.Len(t, film, 1)
	require.Equal(t, []float64{200, 202, 204}, film[0].Reading.FilmUM)
}

func TestTenThousandReadings(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "X"}, 20)
	var file strings.Builder
	file.WriteString("Piece,Spot,Film\n")
	for i := range 10_000 {
		fmt.Fprintf(&file, "%s,s%d,%d\n", pieces[i%20].Label, i/20%4, 200+i%9)
	}
	path := carPath(car.WorkOrder) + "/readings"
	form := f.exported(path, url.Values{"act": {"look"}}, file.String())
	a := f.upload(path, form, nil)
	require.Equal(t, http.StatusSeeOther, a.code)
	require.Contains(t, f.page(a.to).text(), "80 readings are entered.")
	film, err := f.bench.store.CarFilm(t.Context(), car.ID)
	require.NoError(t, err)
	require.Len(t, film, 80)
	require.Len(t, film[0].Reading.FilmUM, 125)
}
