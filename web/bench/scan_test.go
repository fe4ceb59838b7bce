package bench

import (
	"html"
	"image"
	"image/color"
	"image/draw"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/browsertest"
	"scumble/internal/labels"
	"scumble/internal/restoration"
)

func TestScanPageMayUseTheCamera(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	got := b.get("/bench/scan")
	require.Equal(t, http.StatusOK, got.status)
	require.Contains(t, got.header.Get("Permissions-Policy"), "camera=(self)")
	require.NotContains(t, got.header.Get("Content-Security-Policy"), "unsafe")
	for _, sign := range restoration.LabelSigns() {
		require.Contains(t, got.body, `data-sign="`+sign+`"`)
	}
	for _, path := range []string{"/bench", piecePath(s.pieces["Ash tray"].ID)} {
		other := b.get(path)
		require.Contains(t, other.body, `href="/bench/scan"`, "from every page")
		require.Contains(t, other.header.Get("Permissions-Policy"), "camera=()", path)
	}
}

// What was wrong with a code is said where it was scanned, beside the camera and the pad.
func TestAWrongCodeGoesBackToTheScan(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	path := piecePath(s.pieces["Ash tray"].ID)
	require.Equal(t, http.StatusOK, b.from(path, "/bench/scan").status)
	for range 2 { // as often as one tries
		got := b.from("/bench/scan", "/bench/find?code=AB")
		require.Equal(t, "/bench/scan", got.path)
		require.Contains(t, html.UnescapeString(got.body), "A piece's label has 5 signs, a place's 6; this has 2.")
		require.Contains(t, got.body, `value="AB"`, "what was typed stays")
		require.Contains(t, got.body, `data-sign="A"`, "and so does the pad")
	}
	require.NotContains(t, b.get("/bench/scan").body, `id="code-error"`, "said once")
	rack := s.addPlace("Rack A", 0)
	require.Equal(t, http.StatusOK, b.from(path, "/bench/scan").status)
	b.from("/bench/scan", "/bench/find?code=AB")
	require.Equal(t, path+"/move", b.from("/bench/scan", "/bench/find?code="+rack.Code).path, "from where the scan began")
}

func TestScannedCodeLeadsToItsPiece(t *testing.T) {
	t.Parallel()
	s := setup(t)
	other := s.newCar("1949 Larkhall Ten", "Radio bezel")
	b := s.signIn(s.ada)
	scan := func(text string) page { return b.get("/bench/find?scanned=1&code=" + url.QueryEscape(text)) }
	at := func(name string) string { return piecePath(s.pieces[name].ID) }
	require.Equal(t, at("Ash tray"), scan("http://server.that.moved:1/bench/find?code="+s.pieces["Ash tray"].Label).path)
	require.Equal(t, at("Ash tray"), scan(" "+strings.ToLower(s.pieces["Ash tray"].Label)+"\n").path)

	b.get("/bench?car=" + s.car.WorkOrder)
	require.NotContains(t, scan(s.pieces["Ash tray"].Label).body, "Your list shows")
	named := scan(s.pieces["Radio bezel"].Label)
	require.Equal(t, at("Radio bezel"), named.path)
	require.Contains(t, named.body, "This piece is of "+other.WorkOrder+" 1949 Larkhall Ten. Your list shows "+s.car.WorkOrder+".")
	require.NotContains(t, b.get(named.path).body, "Your list shows", "said once")
}

// What is no label says what it was, and never as markup.
func TestForeignScans(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := s.signIn(s.ada)
	for text, says := range map[string]string{
		"https://elsewhere.example/a?code=" + s.pieces["Ash tray"].Label: "is no label of this shop",
		"<script>alert(1)</script>":                                      "“&lt;script&gt;alert(1)&lt;/script&gt;” is no label",
		"WIFI:S:the shop;P:open sesame;":                                 "is no label of this shop",
		"4006381333931":                                                  "“4006381333931” is no label",
		strings.Repeat("long ", 100):                                     "… is no label",
		unknownLabel(t, s):                                               "no piece",
	} {
		got := b.get("/bench/find?scanned=1&code=" + url.QueryEscape(text))
		require.Equal(t, http.StatusNotFound, got.status, text)
		require.Contains(t, strings.ReplaceAll(strings.ToLower(got.body), "”", ""), strings.ReplaceAll(strings.ToLower(says), "”", ""), text)
		require.NotContains(t, got.body, "<script>alert")
	}
}

func TestScanOfACarThatLeft(t *testing.T) {
	t.Parallel()
	s := setup(t)
	s.advance("Ash tray", s.ada, 1)
	car := s.newCar("1949 Larkhall Ten", "Radio bezel")
	s.advance("Radio bezel", s.ada, 8)
	s.enter(restoration.Event{Kind: restoration.KindCarDeliver, CarID: car.ID, PersonID: s.owner.PersonID})
	got := s.signIn(s.ada).get("/bench/find?code=" + s.pieces["Radio bezel"].Label)
	require.Equal(t, http.StatusNotFound, got.status)
	require.Contains(t, got.body, "Radio bezel is of "+car.WorkOrder+" 1949 Larkhall Ten, which has left on Wed 25 Mar 2026. Take it to the owner.")
}

// The pad writes the code without a keyboard; a tablet without a camera says what to do.
func TestPadFindsAPiece(t *testing.T) {
	t.Parallel()
	s := setup(t)
	b := newTab(t, s)
	b.enrol()
	b.signIn("Ada Fennimore")
	b.tapTo(`.benchhead a[href="/bench/scan"]`, "/bench/scan")
	b.tells("[data-scan-says]", "Type the code.")
	for _, d := range browsertest.AllDevices {
		b.Resize(d)
		require.Equal(t, "0", b.TooWide(), "at %d", d.W)
		require.Empty(t, b.Barriers(), "at %d", d.W)
		require.Equal(t, "true", b.Eval(`String([...document.querySelectorAll("main button, .benchhead a")].filter(e => e.checkVisibility()).every(e => e.getBoundingClientRect().height >= 56))`), "at %d", d.W)
		b.Shot("scan")
	}
	b.Resize(browsertest.Tablet)
	b.tap(`[data-sign="3"]`)
	b.tap(`[data-sign="back"]`)
	label := s.pieces["Ash tray"].Label
	for _, sign := range label {
		b.tap(`[data-sign="` + string(sign) + `"]`)
	}
	b.Sees(label, `document.querySelector("#code").value`)
	b.tapTo(".actionbar .button-main", piecePath(s.pieces["Ash tray"].ID))
}

// A camera that sees a label, printed for a server that has moved, finds the piece: here
// by the vendored decoder, for the test's browser has none of its own.
func TestCameraFindsAPiece(t *testing.T) {
	t.Parallel()
	s := setup(t)
	piece := s.pieces["Ash tray"]
	b := &tab{Tab: browsertest.Open(t, s.server.URL, browsertest.Tablet, browsertest.Camera(t, seen(t, labels.Address("https://old.example", piece.Label)))...), shop: s}
	b.enrol()
	b.signIn("Ada Fennimore")
	b.tap(`.benchhead a[href="/bench/scan"]`)
	b.At(piecePath(piece.ID))
	for _, c := range b.Complaints() {
		require.NotContains(t, c, "Security Policy")
	}
}

// detecting is a tablet whose camera sees a label and whose browser has a detector of its own,
// with what members gives it.
func detecting(t *testing.T, members string) (*testShop, *tab) {
	t.Helper()
	s := setup(t)
	b := &tab{Tab: browsertest.Open(t, s.server.URL, browsertest.Tablet, browsertest.Camera(t, seen(t, labels.Address("https://old.example", s.pieces["Ash tray"].Label)))...), shop: s}
	b.enrol()
	b.signIn("Ada Fennimore")
	b.Before(`window.BarcodeDetector = class { ` + members + ` };
		Object.defineProperty(window, "jsQR", { configurable: true, set(value) {
			sessionStorage.vendored = "1";
			Object.defineProperty(window, "jsQR", { value });
		} });`)
	return s, b
}

// vendored is "1" once the vendored decoder has come.
func (b *tab) vendored() string { return b.Eval(`sessionStorage.vendored || ""`) }

const squareCodes = `static async getSupportedFormats() { return ["ean_13", "qr_code"]; }`

// The browser's own detector is asked first; here it reads something else than the camera
// sees, so that nothing else can have read it.
func TestTheBrowsersOwnDetectorFindsAPiece(t *testing.T) {
	t.Parallel()
	s, b := detecting(t, squareCodes+`
		constructor({ formats }) { if (String(formats) !== "qr_code") throw new TypeError("reads " + formats); }
		async detect(view) { return view.videoWidth ? [{ rawValue: sessionStorage.label }] : []; }`)
	b.Run(`sessionStorage.label = "https://old.example/bench/find?code=` + s.pieces["Glove-box door"].Label + `"`)
	b.tap(`.benchhead a[href="/bench/scan"]`)
	b.At(piecePath(s.pieces["Glove-box door"].ID))
	require.Empty(t, b.vendored())
}

// A detector that is there in name only gives way to the vendored one.
func TestADetectorThatFailsGivesWay(t *testing.T) {
	t.Parallel()
	for name, members := range map[string]string{
		"at its making":        squareCodes + `constructor() { throw new TypeError("no service"); }`,
		"no square codes":      `static async getSupportedFormats() { return ["ean_13"]; } async detect() { return [{ rawValue: "4006381333931" }]; }`,
		"asked what it reads":  `static async getSupportedFormats() { throw new DOMException("no", "NotSupportedError"); }`,
		"at a picture":         squareCodes + `async detect() { throw new DOMException("no service", "NotSupportedError"); }`,
		"cannot be asked that": `async detect() { return [{ rawValue: "4006381333931" }]; }`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s, b := detecting(t, members)
			b.tap(`.benchhead a[href="/bench/scan"]`)
			b.At(piecePath(s.pieces["Ash tray"].ID))
			require.Equal(t, "1", b.vendored())
		})
	}
}

// What the detector reads and is no label is told to be none, in words, and never run.
func TestADetectedTextThatIsNoLabel(t *testing.T) {
	t.Parallel()
	for text, says := range map[string]string{
		`<script>window.ran = 1</script><img src=x onerror="window.ran = 1">`: "“<script>window.ran = 1</script>",
		"javascript:window.ran=1":             "is no label",
		"https://elsewhere.example/a?code=B7": "is no label of this shop",
	} {
		t.Run(text, func(t *testing.T) {
			t.Parallel()
			_, b := detecting(t, squareCodes+`async detect() { return sessionStorage.text && !sessionStorage.read++ ? [{ rawValue: sessionStorage.text }] : []; }`)
			b.Run(`sessionStorage.read = 0; sessionStorage.text = ` + "`" + text + "`")
			b.tap(`.benchhead a[href="/bench/scan"]`)
			b.tells("#code-error", says)
			b.At("/bench/scan")
			b.tells("[data-scan-says]", "Hold the label before the camera.")
			require.Equal(t, "undefined", b.Eval("String(window.ran)"))
			require.Equal(t, "0", b.Eval(`String(document.querySelectorAll("main script:not([src]), main img").length)`))
		})
	}
}

// seen is a square code as a camera sees it: grey, not filling the picture.
func seen(t *testing.T, text string) *image.Gray {
	t.Helper()
	qr, err := labels.NewQR(text)
	require.NoError(t, err)
	const w, h, module = 640, 480, 7
	picture := image.NewGray(image.Rect(0, 0, w, h))
	draw.Draw(picture, picture.Bounds(), image.NewUniform(color.Gray{Y: 200}), image.Point{}, draw.Src)
	left, top := (w-qr.Modules()*module)/2, (h-qr.Modules()*module)/2
	for _, bar := range qr.Bars() {
		box := image.Rect(bar.X, bar.Y, bar.X+bar.Length, bar.Y+1)
		box.Min, box.Max = box.Min.Mul(module), box.Max.Mul(module)
		draw.Draw(picture, box.Add(image.Pt(left, top)), image.NewUniform(color.Gray{Y: 40}), image.Point{}, draw.Src)
	}
	return picture
}
