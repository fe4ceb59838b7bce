package office

import (
	"net/http"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// lyingProps is a table of pieces with where they lie.
type lyingProps struct {
	Page   ui.PageProps
	Tab    string
	Form   *form // of the days; nil has none
	Groups []lyingGroup
	Empty  ui.EmptyProps
}

// lyingGroup is the part of one car, or place.
type lyingGroup struct {
	Title, Href string
	Rows        []lyingLine
}

// daysKey is the name of the days in the address; at most daysMost.
const (
	daysKey  = "days"
	daysMost = 3650
)

// showUnseen lists pieces of which nobody entered anything for so many days.
func (o *Office) showUnseen(w http.ResponseWriter, r *http.Request) error {
	list, err := o.shop.Lying(r.Context())
	if err != nil {
		return err
	}
	f := &form{values: r.URL.Query()}
	days := restoration.UnseenDays
	if f.get(daysKey) == "" {
		f.values.Set(daysKey, strconv.Itoa(days))
	} else if days, err = strconv.Atoi(strings.TrimSpace(f.get(daysKey))); err != nil || days < 1 || days > daysMost {
		f.fault(daysKey, "Type a number of days from 1 to %d.", daysMost)
	}
	p := lyingProps{Tab: "unseen", Form: f, Empty: ui.EmptyProps{Text: "Every piece was seen in that time."},
		Page: o.page(r, ui.PageProps{Title: "Not seen", Nav: navPlaces, Lede: "Pieces with work left, of which nobody entered anything. Go and look where they lie."})}
	status := http.StatusOK
	if !f.ok() {
		status = http.StatusUnprocessableEntity
	} else {
		uses, err := o.shop.PlaceUses(r.Context())
		if err != nil {
			return err
		}
		p.Groups = unseenGroups(restoration.NotSeen(list, visitOf(r).Now, days), uses, visitOf(r))
	}
	return web.Render(w, r, status, lyingPage(p))
}

// unseenGroups parts what was not seen: what still lies in its car is hardly lost, and
// stands last.
func unseenGroups(lost []restoration.Lying, uses []restoration.PlaceUse, v visit) (groups []lyingGroup) {
	inCar := map[string]bool{}
	for _, u := range uses {
		inCar[strings.ToLower(u.Name)] = u.Kind == restoration.PlaceCar
	}
	var off, in []restoration.Lying
	for _, l := range lost {
		if inCar[strings.ToLower(l.LiesAt)] {
			in = append(in, l)
		} else {
			off = append(off, l)
		}
	}
	for _, g := range []lyingGroup{{Title: "Off the car", Rows: lyingLines(off, v)}, {Title: "Still in their cars", Rows: lyingLines(in, v)}} {
		if len(g.Rows) > 0 {
			groups = append(groups, g)
		}
	}
	return groups
}

// showOut lists the pieces that are out of the house, those gone longest first.
func (o *Office) showOut(w http.ResponseWriter, r *http.Request) error {
	uses, err := o.shop.PlaceUses(r.Context())
	if err != nil {
		return err
	}
	p := lyingProps{Tab: "out", Empty: ui.EmptyProps{Text: "Nothing is out.", Next: "A place of the kind “out at” is for platers, upholsterers and others."},
		Page: o.page(r, ui.PageProps{Title: "Out of the house", Nav: navPlaces, Lede: "What lies at places of the kind “out at”, and since when."})}
	for _, u := range uses {
		if u.Kind != restoration.PlaceOut || !u.RetiredAt.IsZero() || u.Lying == 0 {
			continue
		}
		list, err := o.shop.LyingAt(r.Context(), u.Name)
		if err != nil {
			return err
		}
		slices.Reverse(list)
		p.Groups = append(p.Groups, lyingGroup{Title: u.Name, Href: placePath(u.ID), Rows: lyingLines(list, visitOf(r))})
	}
	return web.Render(w, r, http.StatusOK, lyingPage(p))
}

// showByCar lists what lies where, car by car.
func (o *Office) showByCar(w http.ResponseWriter, r *http.Request) error {
	list, err := o.shop.Lying(r.Context())
	if err != nil {
		return err
	}
	slices.SortStableFunc(list, func(a, b restoration.Lying) int {
		if order := strings.Compare(a.Car.WorkOrder, b.Car.WorkOrder); order != 0 {
			return order
		}
		return strings.Compare(a.LiesAt, b.LiesAt)
	})
	p := lyingProps{Tab: "cars", Empty: ui.EmptyProps{Text: "No car is here."}, Page: o.page(r, ui.PageProps{Title: "What lies where", Nav: navPlaces})}
	for _, l := range list {
		title := l.Car.WorkOrder + " " + l.Car.Name
		if n := len(p.Groups); n == 0 || p.Groups[n-1].Title != title {
			p.Groups = append(p.Groups, lyingGroup{Title: title, Href: carPath(l.Car.WorkOrder)})
		}
		last := &p.Groups[len(p.Groups)-1]
		last.Rows = append(last.Rows, lyingLines([]restoration.Lying{l}, visitOf(r))...)
	}
	return web.Render(w, r, http.StatusOK, lyingPage(p))
}
