package bench

import (
	"cmp"
	"net/url"
	"slices"

	"scumble/internal/restoration"
)

// chipsShown is how many cars can be chosen at one touch.
const chipsShown = 8

// carChip shows one car's pieces only, at one touch.
type carChip struct {
	Word, Name, Href string
	Active           bool
}

// chips offers the cars that have work: those that come first in the list, and the
// one that is chosen, at one touch, all others below. Both stand by work order, so
// that a car has its place. There are none where there is a single car.
func chips(in listInput, parts []listPart) (first, more []carChip) {
	cars := carsInOrder(in, parts)
	if len(cars) < 2 {
		return nil, nil
	}
	path := listPaths[in.Which]
	for i, c := range cars {
		chip := carChip{Word: c.WorkOrder, Name: c.Name, Href: path + "?car=" + url.QueryEscape(c.WorkOrder), Active: in.Car == c.WorkOrder}
		if i < chipsShown || chip.Active {
			first = append(first, chip)
		} else {
			more = append(more, chip)
		}
	}
	byWord := func(a, b carChip) int { return cmp.Compare(a.Word, b.Word) }
	slices.SortFunc(first, byWord)
	slices.SortFunc(more, byWord)
	return append([]carChip{{Word: "All cars", Href: path, Active: in.Car == ""}}, first...), more
}

// carsInOrder lists each car once: as they come in the list, then those that have
// work elsewhere, by work order.
func carsInOrder(in listInput, parts []listPart) []*restoration.Car {
	var cars []*restoration.Car
	seen := map[int64]bool{}
	add := func(c *restoration.Car) {
		if !seen[c.ID] {
			seen[c.ID] = true
			cars = append(cars, c)
		}
	}
	for _, p := range parts {
		for _, item := range p.Items {
			add(item.Car)
		}
	}
	listed := len(cars)
	for _, k := range in.Keys {
		add(k.Car)
	}
	slices.SortFunc(cars[listed:], func(a, b *restoration.Car) int { return cmp.Compare(a.WorkOrder, b.WorkOrder) })
	return cars
}
