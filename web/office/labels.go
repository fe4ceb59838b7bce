package office

import (
	"cmp"
	"net/http"
	"net/url"
	"path"
	"strconv"
	"strings"
	"sync"

	"github.com/go-chi/chi/v5"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/static"
	"scumble/web"
	"scumble/web/ui"
)

// labelRoutes are what is printed to go along with the pieces.
func (o *Office) labelRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/cars/{wo}/labels", h(o.showLabels(o.loadLabels)))
	r.Post("/cars/{wo}/labels", h(o.choosePrinted("labels")))
	r.Get("/cars/{wo}/labels.pdf", h(o.labelsPDF(o.loadLabels)))
	r.Post("/cars/{wo}/labels/sheet", h(o.keepSheet(o.loadLabels)))
	r.Get("/cars/{wo}/travellers", h(o.showTravellers))
	r.Post("/cars/{wo}/travellers", h(o.choosePrinted("travellers")))
	r.Get("/page.css", h(pageStyle))
}

// The choices in the address of what is printed.
const (
	printPiece = "piece" // id, once for each piece; none: all of the car
	printSheet = "sheet" // key of a preset, or ownSheet
	printStart = "start" // label of the first sheet, from 1
	printTag   = "tag"   // for bags and places on a rack
	ownSheet   = "own"
)

// typeset reads the typeface once: two requests out of three never print.
var typeset = sync.OnceValues(func() (labels.Typeset, error) { return labels.NewTypeset(static.Typeface()) })

// labelsProps is the page that prints labels.
type labelsProps struct {
	Page     ui.PageProps
	Form     *form
	Path     string // of the labels of this car, or of the places
	Name     string // of a file
	Eyebrow  string
	Nav      string
	What     string // is chosen: "Pieces"
	Back     string // address of what they are the labels of
	BackWord string
	Picks    []ui.CheckboxProps
	Units    units
	Kept     restoration.LabelSheet // the shop's own
	Sheet    restoration.LabelSheet // that is printed on
	Sheets   []ui.Option
	Pages    [][]labels.Placed
	PDF      string // address of the same as PDF; "" nothing to print
	Style    string // address of the page's size
	Address  string
	Local    bool   // the address is of this machine alone
	Fine     bool   // a square code may be too fine to be read
	Lacks    string // signs of the names that the PDF can't draw
}

// choosePrinted leads from the pieces that are ticked on a car's page to what is
// printed for them.
func (o *Office) choosePrinted(what string) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		car, f, err := o.carForm(w, r)
		if err != nil {
			return err
		}
		chosen := url.Values{printPiece: f.values[printPiece]}
		return web.SeeOther(w, r, carPath(car.WorkOrder)+"/"+what+"?"+chosen.Encode())
	}
}

// labelLoader lays out the labels that a form asks for.
type labelLoader func(r *http.Request, f *form) (labelsProps, error)

func (o *Office) showLabels(load labelLoader) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		p, err := load(r, &form{values: r.URL.Query()})
		if err != nil {
			return err
		}
		return o.renderLabels(w, r, p)
	}
}

func (o *Office) renderLabels(w http.ResponseWriter, r *http.Request, p labelsProps) error {
	p.Page = o.page(r, ui.PageProps{Title: "Labels", Eyebrow: p.Eyebrow, Nav: p.Nav})
	status := http.StatusOK
	if !p.Form.ok() {
		status = http.StatusUnprocessableEntity
	}
	return web.Render(w, r, status, labelsPage(p))
}

// labelsPDF is the same sheets as a file.
func (o *Office) labelsPDF(load labelLoader) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		p, err := load(r, &form{values: r.URL.Query()})
		if err != nil {
			return err
		}
		if !p.Form.ok() {
			return o.renderLabels(w, r, p)
		}
		set, err := typeset()
		if err != nil {
			return err
		}
		file, err := set.PDF(p.Sheet.PageW, p.Sheet.PageH, p.Pages, "Labels of "+p.Name, visitOf(r).Now)
		if err != nil {
			return err
		}
		w.Header().Set("Content-Type", "application/pdf")
		w.Header().Set("Content-Disposition", `inline; filename="labels-`+p.Name+`.pdf"`)
		_, err = w.Write(file)
		return err
	}
}

// keepSheet makes the chosen sheet the one that is offered from now on.
func (o *Office) keepSheet(load labelLoader) web.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) error {
		f, err := readForm(w, r)
		if err != nil {
			return err
		}
		p, err := load(r, f)
		if err != nil {
			return err
		}
		if p.Form.ok() {
			s := visitOf(r).Settings
			s.Labels.Sheet = p.Sheet
			if err := f.take(o.shop.SaveSettings(r.Context(), visitOf(r).Actor(), s)); err != nil {
				return err
			}
		}
		if !p.Form.ok() {
			return o.renderLabels(w, r, p)
		}
		o.done(r, "This sheet is offered from now on.")
		return web.SeeOther(w, r, p.Path+"?"+f.values.Encode())
	}
}

// loadLabels lays out the labels of a car's pieces that the form asks for.
func (o *Office) loadLabels(r *http.Request, f *form) (labelsProps, error) {
	car, err := o.carOf(r)
	if err != nil {
		return labelsProps{}, err
	}
	pieces, err := o.shop.CarPieces(r.Context(), car.ID)
	if err != nil {
		return labelsProps{}, err
	}
	p := o.labelsOf(r, f, labelsProps{Path: carPath(car.WorkOrder) + "/labels", Name: car.WorkOrder, Eyebrow: carEyebrow(car), Nav: "shop",
		What: "Pieces", Back: carPath(car.WorkOrder), BackWord: "Back to the car"})
	chosen := chosenPieces(f, pieces)
	p.Picks = picks(pieces, chosen)
	var list []labels.Label
	for _, piece := range chosen {
		list = append(list, labelOf(piece, car, p.Address))
	}
	return p, p.print(list)
}

// labelsOf fills in what the labels of pieces and places have in common.
func (o *Office) labelsOf(r *http.Request, f *form, p labelsProps) labelsProps {
	v := visitOf(r)
	p.Form, p.Units, p.Sheets, p.Address = f, v.units(), sheetOptions(v.Settings.Units), cmp.Or(v.Settings.Labels.Address, o.address(r))
	p.Local = localAddress(p.Address)
	p.Kept = v.Settings.Labels.Sheet
	offerSheet(f, p.Kept, p.Units)
	return p
}

// print draws the labels on the sheet that is chosen; nothing where the form is at fault.
func (p *labelsProps) print(list []labels.Label) error {
	p.Sheet = parseSheet(p.Form, p.Kept, p.Units)
	start := parseStart(p.Form, p.Sheet)
	if !p.Form.ok() {
		return nil
	}
	return p.layOut(list, start, p.Form.ticked(printTag))
}

// layOut draws the labels.
func (p *labelsProps) layOut(list []labels.Label, start int, tag bool) error {
	set, err := typeset()
	if err != nil {
		return err
	}
	next := 0
	for _, slots := range labels.Slots(p.Sheet, start, len(list)) {
		page := make([]labels.Placed, len(slots))
		for i, slot := range slots {
			l := list[next]
			l.Stamp = tag
			d, err := set.Draw(l, slot.W, slot.H)
			if err != nil {
				return err
			}
			page[i] = labels.Placed{Slot: slot, Drawing: d}
			p.Fine = p.Fine || d.ModuleMM() < labels.FinestMM
			p.Lacks = set.Regular.Lacks(p.Lacks + l.Piece + l.Side + l.Car + l.Place)
			next++
		}
		p.Pages = append(p.Pages, page)
	}
	p.PDF = p.Path + ".pdf?" + p.Form.values.Encode()
	p.Style = pageStylePath(p.Sheet.PageW, p.Sheet.PageH)
	return nil
}

// lacksShown is how many signs are named that the PDF can't draw.
const lacksShown = 12

// lacksWords tell which signs the PDF can't draw, and what to do.
func lacksWords(lacks string) string {
	signs := strings.Split(lacks, "")
	more := ""
	if n := len(signs); n > lacksShown {
		signs, more = signs[:lacksShown], ", and "+strconv.Itoa(n-lacksShown)+" more"
	}
	return "The PDF can't draw these signs and has question marks for them: " + strings.Join(signs, ", ") + more + ". Print the page itself: the browser has them."
}

// labelOf is what a piece's label says.
func labelOf(p restoration.Piece, car restoration.Car, base string) labels.Label {
	return labels.Label{Code: p.Label, Address: labels.Address(base, p.Label), Piece: p.Name, Side: whereWords(p.Details),
		Car: car.WorkOrder + " " + car.Name, Place: p.LiesAt}
}

// whereWords says where on the car a piece belongs: of two alike it tells which.
func whereWords(d restoration.Details) string {
	side := strings.TrimPrefix(strings.TrimPrefix(d.Title(), d.Name), ", ")
	place := d.Place
	if _, err := strconv.Atoi(place); err == nil {
		place = "place " + place
	}
	return joinWords(cmp.Or(side, string(d.Zone)), place)
}

// chosenPieces are those that the form names, in the order of the car's list; all where
// it is not a form that was sent.
func chosenPieces(f *form, pieces []restoration.Piece) []restoration.Piece {
	return chosenOf(f, pieces, pieceKey, "No piece is chosen. Tick those to print.")
}

func picks(pieces, chosen []restoration.Piece) []ui.CheckboxProps {
	return picksOf(pieces, chosen, pieceKey, func(p restoration.Piece) string { return p.Title() + " · " + p.Label })
}

func pieceKey(p restoration.Piece) string { return p.ID.String() }

// parseStart reads the first label to be printed on a sheet that was begun.
func parseStart(f *form, s restoration.LabelSheet) int {
	if f.get(printStart) == "" {
		f.values.Set(printStart, "1")
	}
	n, err := strconv.Atoi(strings.TrimSpace(f.get(printStart)))
	if each := s.Cols * s.Rows; err != nil || n < 1 || n > each && f.ok() {
		f.fault(printStart, "The sheet has %d labels: type a number from 1 to %d.", each, each)
	}
	return n
}

// localAddress tells whether an address reaches this machine from itself alone.
func localAddress(base string) bool {
	u, err := url.Parse(base)
	return err == nil && (u.Hostname() == "localhost" || strings.HasPrefix(u.Hostname(), "127.") || u.Hostname() == "::1")
}

// printedOf is where one piece's label, or its traveller, is printed.
func printedOf(p piecePage, what string) string {
	return withQuery(p.CarPath+"/"+what, printPiece, path.Base(p.Path))
}
