package office

import (
	"net/http"

	"scumble/internal/labels"
	"scumble/internal/restoration"
	"scumble/web/ui"
)

// loadPlaceLabels lays out the labels of the places that the form asks for.
func (o *Office) loadPlaceLabels(r *http.Request, f *form) (labelsProps, error) {
	uses, err := o.shop.PlaceUses(r.Context())
	if err != nil {
		return labelsProps{}, err
	}
	var places []restoration.Place
	for _, u := range uses {
		if u.RetiredAt.IsZero() {
			places = append(places, u.Place)
		}
	}
	p := o.labelsOf(r, f, labelsProps{Path: placesPath + "/labels", Name: "places", Eyebrow: "Places", Nav: navPlaces,
		What: "Places", Back: placesPath, BackWord: "All places"})
	key := func(l restoration.Place) string { return formatID(l.ID) }
	chosen := chosenOf(f, places, key, "No place is chosen. Tick those to print.")
	p.Picks = picksOf(places, chosen, key, func(l restoration.Place) string { return l.Name + " · " + l.Code })
	var list []labels.Label
	for _, l := range chosen {
		list = append(list, placeLabel(l, p.Address))
	}
	return p, p.print(list)
}

// placeLabel is what a place's label says.
func placeLabel(l restoration.Place, base string) labels.Label {
	label := labels.Label{Code: l.Code, Address: labels.Address(base, l.Code), Piece: l.Name, Side: upperFirst(string(l.Kind))}
	if l.Holds > 0 {
		label.Place = "Holds " + ui.Count(l.Holds, "piece", "pieces")
	}
	return label
}

// chosenOf are those of all that the form names, in their order; all where it is not a form
// that was sent. Where none is, the form says so.
func chosenOf[T any](f *form, all []T, key func(T) string, none string) []T {
	named := map[string]bool{}
	for _, id := range f.values[printPiece] {
		named[id] = true
	}
	if len(named) == 0 && !f.ticked(printStart) {
		for _, one := range all { // the addresses of what is shown, such as its PDF's, name them
			f.values.Add(printPiece, key(one))
		}
		return all
	}
	var chosen []T
	for _, one := range all {
		if named[key(one)] {
			chosen = append(chosen, one)
		}
	}
	if len(chosen) == 0 {
		f.fault("pieces", "%s", none)
	}
	return chosen
}

// picksOf are all to tick, with those ticked that are chosen.
func picksOf[T any](all, chosen []T, key, word func(T) string) []ui.CheckboxProps {
	on := map[string]bool{}
	for _, one := range chosen {
		on[key(one)] = true
	}
	list := make([]ui.CheckboxProps, len(all))
	for i, one := range all {
		list[i] = ui.CheckboxProps{Name: printPiece, Value: key(one), Label: word(one), Checked: on[key(one)]}
	}
	return list
}
