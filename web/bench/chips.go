package bench

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
)

// chipsShown is how many cars can be chosen at one touch.
const chipsShown = 8

// chip shows a part of the list only, at one touch. The address keeps what is chosen.
type chip struct {
	Word, Name, Href string
	Active           bool
}

// chipRow is what can be chosen among: cars, or stages.
type chipRow struct {
	Label       string
	First, More []chip // none where there is nothing to choose
}

// href is the list's address with a car and a stage chosen; "" is all. In hand knows no
// stages: that list is short.
func (in listInput) href(car, stage string) string {
	q := url.Values{}
	if in.Which == "hand" {
		stage = ""
	}
	if car != "" {
		q.Set("car", car)
	}
	if stage != "" {
		q.Set("stage", stage)
	}
	if len(q) == 0 {
		return listPaths[in.Which]
	}
	return listPaths[in.Which] + "?" + q.Encode()
}

// chips offers the cars that have work, and the stages that come next in this list.
func chips(in listInput, parts []listPart) []chipRow {
	var rows []chipRow
	for _, row := range []chipRow{carChips(in, parts), stageChips(in, parts)} {
		if len(row.First) > 0 {
			rows = append(rows, row)
		}
	}
	return rows
}

// carChips are those cars that come first in the list, and the one that is chosen, at
// one touch, all others below. Both stand by work order, so that a car has its place.
// There are none where there is a single car.
func carChips(in listInput, parts []listPart) chipRow {
	cars := carsInOrder(in, parts)
	if len(cars) < 2 {
		return chipRow{}
	}
	row := chipRow{Label: "Cars"}
	for i, c := range cars {
		chip := chip{Word: c.WorkOrder, Name: c.Name, Href: in.href(c.WorkOrder, in.Stage), Active: in.Car == c.WorkOrder}
		if i < chipsShown || chip.Active {
			row.First = append(row.First, chip)
		} else {
			row.More = append(row.More, chip)
		}
	}
	byWord := func(a, b chip) int { return cmp.Compare(a.Word, b.Word) }
	slices.SortFunc(row.First, byWord)
	slices.SortFunc(row.More, byWord)
	row.First = append([]chip{{Word: "All cars", Href: in.href("", in.Stage), Active: in.Car == ""}}, row.First...)
	return row
}

// stageChips are the stages that come next for the pieces of the list, of the chosen car
// if one is, with how many pieces each, as they follow one another. There are none where
// all pieces come to the same stage, nor in hand.
func stageChips(in listInput, parts []listPart) chipRow {
	if in.Which == "hand" {
		return chipRow{}
	}
	type stage struct {
		key, name             string
		position, many, aside int
	}
	var stages []stage
	aside := "" // what is counted apart; a list has one such part at most
	for _, p := range parts {
		for _, item := range p.Items {
			if in.Car != "" && item.Car.WorkOrder != in.Car {
				continue
			}
			i := slices.IndexFunc(stages, func(s stage) bool { return s.key == item.Stage })
			if i < 0 {
				i = len(stages)
				stages = append(stages, stage{key: item.Stage, name: item.StageName, position: item.NextPosition})
			}
			if p.Aside == "" {
				stages[i].many++
			} else {
				stages[i].aside, aside = stages[i].aside+1, p.Aside
			}
		}
	}
	if len(stages) < 2 && in.Stage == "" {
		return chipRow{}
	}
	slices.SortFunc(stages, func(a, b stage) int { return cmp.Or(cmp.Compare(a.position, b.position), cmp.Compare(a.key, b.key)) })
	row := chipRow{Label: "Next stage", First: []chip{{Word: "All stages", Href: in.href(in.Car, ""), Active: in.Stage == ""}}}
	for _, s := range stages {
		row.First = append(row.First, chip{Word: s.name + countWords(s.many, s.aside, aside), Href: in.href(in.Car, s.key), Active: in.Stage == s.key})
	}
	return row
}

// countWords are how many pieces of the list come to a stage, and those counted apart:
// " 3", " 3, 2 held", " 2 held".
func countWords(many, apart int, word string) string {
	var parts []string
	if many > 0 {
		parts = append(parts, strconv.Itoa(many))
	}
	if apart > 0 {
		parts = append(parts, strconv.Itoa(apart)+" "+word)
	}
	return " " + strings.Join(parts, ", ")
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
