package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/coating"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const lotsPath = "/office/lots"

func lotPath(id int64) string { return lotsPath + "/" + formatID(id) }

func (o *Office) lotRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/lots", h(o.showLots))
	r.Post("/lots", h(o.addLot))
	r.Get("/lots/{id}", h(o.showLot))
	r.Get("/lots/{id}/coats.csv", h(o.lotTable))
	r.Get("/lots/{id}/edit", h(o.showEditLot))
	r.Post("/lots/{id}/edit", h(o.editLot))
	r.Post("/lots/{id}/close", h(o.closeLot))
	r.Post("/lots/{id}/reopen", h(o.reopenLot))
}

// lotsProps is the shelf: every tin.
type lotsProps struct {
	Page   ui.PageProps
	Open   []lotRow
	Closed []lotRow
	Form   *form
	Tins   []ui.Option // what a new tin may hold
	Volume unit
}

// lotRow is a tin as a page shows it.
type lotRow struct {
	restoration.Lot
	Href       string
	Holds      string // material and part
	State      string
	Bad        string // why it should not be used; "" nothing speaks against it
	Left, Full string
	Percent    int // of the tin that is left
	Opened     string
	Expires    string
}

func newLotRow(l restoration.Lot, m coating.Material, v visit) lotRow {
	row := lotRow{Lot: l, Href: lotPath(l.ID), Holds: l.MaterialName, Left: v.volume(max(0, l.LeftML)), Full: v.volume(l.AmountML),
		Bad: l.Trouble(v.Now, 0), Opened: ui.None, Expires: ui.None}
	if len(m.Parts) > 1 {
		row.Holds += ", " + at(m.Parts, l.Part).Name
	}
	row.Percent = int(100 * min(max(l.LeftML/l.AmountML, 0), 1))
	if !l.OpenedOn.IsZero() {
		row.Opened = ui.Day(l.OpenedOn, time.UTC)
	}
	if !l.ExpiresOn.IsZero() {
		row.Expires = ui.Day(l.ExpiresOn, time.UTC)
	}
	row.State = lotState(l, v)
	return row
}

// lotState says in few words how a tin stands; what speaks against its use comes first.
func lotState(l restoration.Lot, v visit) string {
	var words []string
	switch {
	case !l.Closed.IsZero():
		return "closed on " + ui.Day(l.Closed, v.Loc)
	case l.PastDate(v.Now):
		words = append(words, "past its date")
	case l.LeftML <= 0:
		words = append(words, "empty by the book")
	}
	switch opened := dayIn(l.OpenedOn, v.Loc); {
	case l.OpenedOn.IsZero() && l.LeftML < l.AmountML:
		words = append(words, "used, opening not noted")
	case l.OpenedOn.IsZero():
		words = append(words, "not opened yet")
	case opened.After(v.Now):
		words = append(words, "to be opened on "+ui.Day(opened, v.Loc))
	default:
		words = append(words, "opened "+openedSpan(opened, v.Now))
	}
	return strings.Join(words, ", ")
}

// openedSpan is how long ago a tin was opened, in the words that suit paint.
func openedSpan(opened, now time.Time) string {
	switch days := int(now.Sub(opened).Hours() / 24); {
	case days < 1:
		return "today"
	case days < 14:
		return ui.Count(days, "day", "days") + " ago"
	case days < 92:
		return ui.Count(days/7, "week", "weeks") + " ago"
	default:
		return ui.Count(days/30, "month", "months") + " ago"
	}
}

// tinOptions is every part of the materials in use, as a tin may hold it.
func tinOptions(materials []restoration.Material) []ui.Option {
	options := []ui.Option{{Value: "", Word: "choose one"}}
	for _, m := range materials {
		if !m.Retired.IsZero() {
			continue
		}
		for i, p := range m.Parts {
			word := m.Name
			if len(m.Parts) > 1 {
				word += ", " + p.Name
			}
			options = append(options, ui.Option{Value: tinValue(m.ID, i), Word: word})
		}
	}
	return options
}

func tinValue(material int64, part int) string { return fmt.Sprintf("%d.%d", material, part) }

// parseLot reads the form of a tin; what the tin holds is read of a new one alone.
func parseLot(f *form, before restoration.Lot, materials []restoration.Material, u units) restoration.Lot {
	l := before
	l.Number, l.AmountML, l.Note = f.line("number"), f.amount("amount", u.volume, before.AmountML), f.text("note")
	l.OpenedOn, l.ExpiresOn = f.date("opened"), f.date("expires")
	if before.ID == 0 {
		known := slices.ContainsFunc(tinOptions(materials), func(o ui.Option) bool { return o.Value != "" && o.Value == f.get("tin") })
		if !known {
			f.fault("tin", "Choose what the tin holds.")
		}
		material, part, _ := strings.Cut(f.get("tin"), ".")
		l.Material, _ = strconv.ParseInt(material, 10, 64) // one of the options, or a fault
		l.Part, _ = strconv.Atoi(part)
	}
	f.mustHold(l.Check(u.of))
	return l
}

func lotValues(l restoration.Lot, volume unit) url.Values {
	return url.Values{"number": {l.Number}, "amount": {volume.typedStated(l.AmountML)}, "opened": {typedDate(l.OpenedOn)},
		"expires": {typedDate(l.ExpiresOn)}, "note": {l.Note}}
}

func (o *Office) showLots(w http.ResponseWriter, r *http.Request) error {
	return o.renderLots(w, r, http.StatusOK, &form{values: url.Values{"tin": {r.URL.Query().Get("tin")}}})
}

func (o *Office) renderLots(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	lots, err := o.shop.Lots(r.Context())
	if err != nil {
		return err
	}
	materials, err := o.shop.Materials(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := lotsProps{Form: f, Tins: tinOptions(materials), Volume: v.units().volume, Page: o.page(r, ui.PageProps{Title: "Tins", Nav: navPaint,
		Lede: "What is on the shelf, with what is left by the book. Every coat says which tin it came from."})}
	for _, l := range lots {
		row := newLotRow(l, materialOf(materials, l.Material), v)
		if l.Closed.IsZero() {
			p.Open = append(p.Open, row)
		} else {
			p.Closed = append(p.Closed, row)
		}
	}
	return web.Render(w, r, status, lotsPage(p))
}

// materialOf finds the sheet of a material; the empty one when it is none of the list.
func materialOf(materials []restoration.Material, id int64) coating.Material {
	i := slices.IndexFunc(materials, func(m restoration.Material) bool { return m.ID == id })
	if i < 0 {
		return coating.Material{}
	}
	return materials[i].Material
}

func (o *Office) addLot(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	materials, err := o.shop.Materials(r.Context())
	if err != nil {
		return err
	}
	lot := parseLot(f, restoration.Lot{}, materials, visitOf(r).units())
	if f.ok() {
		if lot, err = o.shop.SaveLot(r.Context(), visitOf(r).Actor(), lot); f.take(err) != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderLots(w, r, http.StatusUnprocessableEntity, f)
	}
	o.done(r, "Lot "+lot.Number+" is on the shelf.")
	return web.SeeOther(w, r, lotsPath)
}
