package office

import (
	"encoding/json"
	"html"
	"image"
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/labels"
	"scumble/internal/labels/qrtest"
	"scumble/internal/restoration"
)

// printable is a shop with a car of which something is to be printed.
func printable(t *testing.T, n int) (floor, string, []restoration.Piece) {
	t.Helper()
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "1936 Brennick Eight", Scheme: "Dark walnut"}, n)
	return f, carPath(car.WorkOrder), f.pieces(car)
}

func labelsOn(p string) int { return strings.Count(p, "data-label=") }

func TestLabelsOfACar(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 26)
	all := f.get(path + "/labels")
	require.Equal(t, http.StatusOK, all.code)
	require.Equal(t, 26, labelsOn(all.body))
	require.Equal(t, 2, strings.Count(all.body, "data-sheet"), "24 and 2")
	require.False(t, strings.Contains(all.body, labels.StampWords+"</text>"))
	require.True(t, strings.Contains(all.body, `href="/office/page.css?h=297&amp;w=210"`), "a page of A4")
	for _, p := range pieces {
		require.True(t, strings.Contains(all.body, `data-qr="`+f.server.URL+"/bench/find?code="+p.Label+`"`), p.Label)
	}
	one := f.get(path + "/labels?tag=on&sheet=a4-65&start=65&piece=" + pieces[3].ID.String())
	require.Equal(t, 1, labelsOn(one.body))
	require.True(t, strings.Contains(one.body, `x="167.15" y="265.1"`), "the last label of the sheet")
	said := parsePage(t, one.body).text()
	require.Contains(t, said, "Stamp the code on", "the tag")
	require.Contains(t, said, "That address reaches this computer from itself alone")
	require.Contains(t, f.get(path).body, `formaction="`+path+`/labels"`)
	require.Contains(t, f.get(piecePath(pieces[3].ID)).body, path+"/travellers?piece="+pieces[3].ID.String())

	chosen := f.post(path+"/labels", url.Values{"piece": {pieces[0].ID.String(), pieces[5].ID.String()}, "to_set": {"x"}})
	require.Equal(t, http.StatusSeeOther, chosen.code)
	require.Equal(t, 2, labelsOn(f.get(chosen.to).body))
	require.NotContains(t, chosen.to, "to_set")
}

// The page names the signs that the file would lack, and says what to do instead.
func TestSignsThatThePDFLacks(t *testing.T) {
	t.Parallel()
	require.Equal(t, "The PDF can't draw these signs and has question marks for them: ש, ע, ר. Print the page itself: the browser has them.", lacksWords("שער"))
	require.Contains(t, lacksWords("一二三四五六七八九十百千万億"), "千, and 2 more. Print")
	f := openFloor(t)
	car, _ := f.takeIn(restoration.Car{Name: "1936 Щука"}, 1)
	page := carPath(car.WorkOrder) + "/labels"
	require.NotContains(t, f.get(page).body, "question marks", "Cyrillic is drawn")
	car, _ = f.takeIn(restoration.Car{Name: "1936 שער"}, 2)
	require.Contains(t, parsePage(t, f.get(carPath(car.WorkOrder)+"/labels").body).text(), "these signs and has question marks for them: ש, ע, ר.")
}

func TestLabelsAreRefusedAtTheirField(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 2)
	for query, says := range map[string]string{
		"start=1":                    "No piece is chosen",
		"sheet=zinc":                 "Choose one of those listed",
		"sheet=a4-21&start=22":       "The sheet has 21 labels: type a number from 1 to 21.",
		"start=first":                "type a number from 1 to",
		"sheet=own&page_w=narrow":    "Write a number such as 2.5 or 2,5.",
		"sheet=own&page_w=210&left=": "Type a length, such as 63.5 mm.",
		"sheet=own&page_w=210&page_h=297&left=0&top=0&label_w=80&label_h=40&step_x=80&step_y=40&cols=3&rows=2": "The labels don&#39;t fit the page",
	} {
		if query != "start=1" {
			query += "&piece=" + pieces[0].ID.String()
		}
		for _, of := range []string{"/labels?", "/labels.pdf?"} {
			a := f.get(path + of + query)
			require.Equal(t, http.StatusUnprocessableEntity, a.code, query)
			require.Contains(t, a.body, says, query)
			require.Zero(t, labelsOn(a.body))
		}
	}
	require.Contains(t, f.get(path+"/labels?sheet=own&page_w=narrow").body, `value="narrow"`, "what was typed stays")
}

func TestTheShopsOwnSheetIsKept(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 2)
	own := url.Values{"piece": {pieces[0].ID.String()}, "start": {"1"}, "sheet": {"own"}, "page_w": {"100"}, "page_h": {"150"}, "left": {"2,5"}, "top": {"5"},
		"label_w": {"95"}, "label_h": {"45"}, "step_x": {"95"}, "step_y": {"45"}, "cols": {"1"}, "rows": {"3"}}
	a := f.post(path+"/labels/sheet", own)
	require.Equal(t, http.StatusSeeOther, a.code)
	kept, err := f.bench.store.Settings(t.Context())
	require.NoError(t, err)
	require.InDelta(t, 2.5, kept.Labels.Sheet.Left, 1e-9)
	require.Contains(t, f.get(path+"/labels").body, "page.css?h=150&amp;w=100", "offered from now on")
	own.Set("rows", "9")
	a = f.post(path+"/labels/sheet", own)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "don&#39;t fit the page")

	kept.Labels.Address = "https://trim.example/"
	require.NoError(t, f.bench.store.SaveSettings(t.Context(), f.by, kept))
	page := f.get(path + "/labels").body
	require.Contains(t, page, `data-qr="https://trim.example/bench/find?code=`)
	require.NotContains(t, page, "from itself alone")
}

// metricLength is a length in mm among the words of a page.
var metricLength = regexp.MustCompile(`.{0,40}\d ?mm\b|\(mm\)`)

// A US shop chooses among sheets of its own paper, measures its own in inches and is refused
// in inches; what is kept is mm: 8.5 in are 215.9.
func TestLabelSheetsOfAUSShop(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 2)
	f.inUS()
	page := f.page(path + "/labels")
	body := f.get(path + "/labels").body
	require.Contains(t, body, `<option value="letter-30" selected>US letter, 3 × 10 of 2.625 × 1 in</option>`)
	require.Contains(t, body, `href="/office/page.css?h=279.4&amp;w=215.9"`)
	for name, want := range map[string]string{"page_w": "8.5", "page_h": "11", "left": "0.1875", "label_w": "2.625", "step_x": "2.75"} {
		require.Equal(t, want, attribute(page.one("input", "name", name), "value"), name)
	}
	require.Contains(t, page.text(), "Dimensions (in)")
	another := f.page(path + "/labels?start=1&sheet=own&piece=" + pieces[0].ID.String())
	require.Equal(t, "8.5", attribute(another.one("input", "name", "page_w"), "value"), "a sheet of one's own begins from the one that is offered")
	require.Empty(t, metricLength.FindAllString(page.text(), -1))
	require.Contains(t, f.get(path+"/travellers").body, "page.css?h=215.9&amp;w=139.7", "half letter, not A5")

	own := url.Values{"piece": {pieces[0].ID.String()}, "start": {"1"}, "sheet": {"own"}, "page_w": {"4"}, "page_h": {"6,25"}, "left": {"0.1875"}, "top": {"0.5"},
		"label_w": {"2.625"}, "label_h": {"1"}, "step_x": {"2.625"}, "step_y": {"1"}, "cols": {"1"}, "rows": {"5"}}
	require.Equal(t, http.StatusSeeOther, f.post(path+"/labels/sheet", own).code)
	kept, err := f.bench.store.Settings(t.Context())
	require.NoError(t, err)
	require.InDelta(t, 101.6, kept.Labels.Sheet.PageW, 1e-9)
	require.InDelta(t, 158.75, kept.Labels.Sheet.PageH, 1e-9)
	require.InDelta(t, 66.675, kept.Labels.Sheet.LabelW, 1e-9)
	require.Equal(t, "6.25", attribute(f.page(path+"/labels").one("input", "name", "page_h"), "value"))

	for name, c := range map[string]struct{ typed, says string }{
		"rows":    {"9", "The labels don't fit the page: 9 rows end at 9.5 in, the page is 6.25 in high."},
		"label_w": {"0.5", "A label's width must be from 1 in to 19.6 in."},
		"left":    {"", "Type a length, such as 2.5 in."},
		"top":     {"half", "Write a number such as 2.5 or 2,5."},
	} {
		bad := maps.Clone(own)
		bad.Set(name, c.typed)
		a := f.post(path+"/labels/sheet", bad)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		said := parsePage(t, a.body).text()
		require.Contains(t, said, c.says, name)
		require.Empty(t, metricLength.FindAllString(said, -1), name)
		require.Contains(t, a.body, `name="page_h" type="text" value="6,25"`, "what was typed stays")
	}
}

func TestPageStyle(t *testing.T) {
	t.Parallel()
	f, _, _ := printable(t, 1)
	a := f.get(pageStylePath(215.9, 279.4))
	require.Equal(t, "@page { size: 215.9mm 279.4mm; margin: 0; }\n", a.body)
	for _, query := range []string{"", "?w=1&h=1", "?w=1e9&h=5", "?w=NaN&h=100", "?w=100%7D&h=100"} {
		require.Equal(t, http.StatusUnprocessableEntity, f.get("/office/page.css"+query).code, query)
	}
}

func TestLabelsPDF(t *testing.T) {
	t.Parallel()
	f, path, _ := printable(t, 26)
	linked := regexp.MustCompile(`href="([^"]+labels\.pdf[^"]*)"`).FindStringSubmatch(f.get(path + "/labels").body)
	require.NotNil(t, linked)
	require.Equal(t, http.StatusOK, f.get(html.UnescapeString(linked[1])).code, "what the first view shows, as a PDF")
	a := f.get(path + "/labels.pdf")
	require.Equal(t, http.StatusOK, a.code)
	require.True(t, strings.HasPrefix(a.body, "%PDF-"))
	require.Equal(t, 2, pagesOf([]byte(a.body)))
}

// pagesOf counts the pages of a PDF.
func pagesOf(pdf []byte) int { return len(regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(pdf, -1)) }

// paper is a screen as wide as the widest sheet.
var paper = browsertest.Device{W: 1200, H: 1000}

// printedCodes reads every square code of the page that stands, by the picture that a
// printer of so many dots for a CSS px would make, and requires each to say what it
// should.
func printedCodes(t *testing.T, b *browsertest.Tab, scale float64) int {
	t.Helper()
	b.AsPrinted()
	picture := b.Picture(paper, scale).(interface {
		SubImage(image.Rectangle) image.Image
	})
	var codes []struct {
		Text       string
		X, Y, W, H float64
	}
	require.NoError(t, json.Unmarshal([]byte(b.Eval(`JSON.stringify([...document.querySelectorAll("[data-qr]")].map(e => {
		const r = e.getBoundingClientRect();
		return {Text: e.dataset.qr, X: r.x + scrollX, Y: r.y + scrollY, W: r.width, H: r.height};
	}))`)), &codes))
	for _, c := range codes {
		part := picture.SubImage(image.Rect(int(c.X*scale), int(c.Y*scale), int((c.X+c.W)*scale), int((c.Y+c.H)*scale)))
		require.Equal(t, c.Text, qrtest.Read(t, part))
	}
	return len(codes)
}

// What the browser prints has a page for each sheet, and every code on it is read by a
// decoder that knows nothing of how it was made.
func TestPrintedCodesAreRead(t *testing.T) {
	t.Parallel()
	f, path, _ := printable(t, 6)
	b := f.openDesk(browsertest.Desk)
	for of, want := range map[string]struct {
		pages int
		scale float64
	}{
		"/labels?start=20": {2, 4}, "/labels?sheet=a4-65&tag=on": {1, 4}, "/labels?sheet=letter-10": {1, 4}, "/labels?sheet=roll-62": {6, 4},
		"/travellers?card=a5": {6, 3}, "/travellers?card=a4": {3, 3}, "/travellers?card=letter": {3, 3}, "/travellers?card=half": {6, 3},
	} {
		if strings.Contains(of, "start=") {
			of += allPieces(f, path)
		}
		b.Go(path + of)
		pdf := b.Print()
		b.Keep("print"+strings.NewReplacer("/", "-", "?", "-", "=", "-", "&", "-").Replace(of[:min(len(of), 30)])+".pdf", pdf)
		require.Equal(t, want.pages, pagesOf(pdf), of)
		require.Equal(t, 6, printedCodes(t, b, want.scale), of)
		forbidden := slices.DeleteFunc(b.Complaints(), func(s string) bool { return !strings.Contains(s, "Security Policy") })
		require.Empty(t, forbidden, of)
	}
}

// allPieces names every piece of the car, as the form does.
func allPieces(f floor, path string) string {
	var query strings.Builder
	for _, m := range regexp.MustCompile(`name="piece" value="([^"]+)"`).FindAllStringSubmatch(f.get(path+"/labels").body, -1) {
		query.WriteString("&piece=" + m[1])
	}
	return query.String()
}

// The pages fit every screen and have no barrier, with names that nobody should have
// given.
func TestPrintedPagesOnTheScreen(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 0)
	for i, name := range []string{strings.Repeat("Windscreengarnishmoulding", 2), "שער קדמי ימני", "Türkappe łódź 漢字"} {
		d := pieces[i].Details
		d.Name = name
		require.NoError(t, f.bench.store.EditPiece(t.Context(), f.by, pieces[i].ID, d, pieces[i].RouteID))
	}
	b := f.openDesk(browsertest.Desk)
	for _, of := range []string{"/labels", "/labels?start=1&sheet=own", "/travellers?card=a4"} {
		b.Go(path + of)
		for _, d := range browsertest.AllDevices {
			b.Resize(d)
			require.Equal(t, "0", b.TooWide(), "%s at %d", of, d.W)
			require.Equal(t, "true", b.Eval(`String((e => e.scrollWidth <= e.clientWidth && e.scrollHeight <= e.clientHeight)(document.querySelector(".pick-list")))`), "every piece in sight, %s at %d", of, d.W)
			if d == browsertest.Phone || d == browsertest.Desk {
				require.Empty(t, b.Barriers(), "%s at %d", of, d.W)
			}
		}
	}
}

// All pieces are ticked at one touch, or none.
func TestAllOrNoneIsTicked(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 3)
	b := f.openDesk(browsertest.Desk)
	const ticked = `String(document.querySelectorAll(".pick-list input:checked").length)`
	for _, page := range []string{"/labels", "/travellers"} {
		b.Go(path + page)
		require.Equal(t, strconv.Itoa(len(pieces)), b.Eval(ticked), page)
		b.Press(`[data-tick=none]`)
		require.Equal(t, "0", b.Eval(ticked), page)
		b.Press(`[data-tick=all]`)
		require.Equal(t, strconv.Itoa(len(pieces)), b.Eval(ticked), page)
	}
}

// What is ticked on the car's page is what is printed, and the bar that offers it is
// whole on a phone.
func TestTickedPiecesLeadToTheirLabels(t *testing.T) {
	t.Parallel()
	f, path, pieces := printable(t, 5)
	b := f.openDesk(browsertest.Phone)
	b.Go(path)
	b.Await(`document.querySelector("[data-bulk]").hidden`)
	for _, p := range pieces[1:3] {
		b.Run(`document.getElementById("pick-` + p.ID.String() + `").click()`)
	}
	b.Await(`document.querySelector("[data-picked]").innerText === "2"`)
	b.Await(`[...document.querySelectorAll(".bulk-end .button")].every(e => e.scrollWidth <= e.clientWidth && e.getBoundingClientRect().right <= innerWidth)`)
	b.Shot("bulk-phone")
	b.Press(`.bulk-end [formaction$="/labels"]`)
	b.At(path + "/labels")
	require.Equal(t, pieces[1].Label+" "+pieces[2].Label, b.Eval(`[...document.querySelectorAll("[data-label]")].map(e => e.dataset.label).join(" ")`))
}
