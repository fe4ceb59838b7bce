package demo

import (
	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// The shop's paints, by their number in the tale.
const (
	paintEpoxy int64 = iota + 1
	paintFiller
	paintGround1K
	paintGround2K
	paintGrain
	paintClear
	paintLacquer
)

const day24 = 24 * 60 // minutes

// sheet is what the shop's own data sheets say in the place of an example's figures.
type sheet struct {
	name, sheet, revision string
	waits                 []coating.WaitAt
}

// sheets are those of the paints, in the order of the examples that ship. Products,
// sheets and figures are invented.
func sheets() []sheet {
	return []sheet{
		{"Epoxy primer, grey", "Sheet P 31", "Rev. 4, February 2025", waits(
			coating.WaitAt{Flash: 8, Recoat: 60, MaxRecoat: 7 * day24, Sand: 18 * 60})},
		{"High-build filler, buff", "Sheet P 44", "Rev. 2, June 2024", waits(
			coating.WaitAt{Flash: 8, Recoat: 60, MaxRecoat: day24, Sand: 16 * 60})},
		{"Ground, one-part, to order", "Sheet C 12", "Rev. 7, January 2026", waits(
			coating.WaitAt{Flash: 8, Recoat: 12 * 60, Sand: 12 * 60})},
		{"Ground, two-part, to order", "Sheet C 20", "Rev. 1, September 2025", waits(
			coating.WaitAt{Flash: 10, Recoat: 12 * 60, Sand: 14 * 60})},
		{"Grain colour in oil", "Sheet G 3", "Undated, from the maker's label", waits(
			coating.WaitAt{Recoat: day24})},
		{"Clear, two-part, slow", "Sheet K 8", "Rev. 11, November 2025", waits(
			coating.WaitAt{Flash: 10, Recoat: 12 * 60, MaxRecoat: day24, Sand: 18 * 60, Polish: 2 * day24, Fit: 7 * day24})},
		{"Clear lacquer, gloss", "Sheet K 2", "Rev. 3, April 2023", waits(
			coating.WaitAt{Flash: 5, Recoat: 30, Sand: 18 * 60, Polish: 14 * day24, Fit: 7 * day24})},
	}
}

// waits states what holds at 20 °C, and twice as long at 10 °C, half as long at 30 °C.
// The longest time to recoat is the same at each.
func waits(at20 coating.WaitAt) []coating.WaitAt {
	at := func(tempC float64, times func(int) int) coating.WaitAt {
		w := at20
		w.TempC = tempC
		w.Flash, w.Recoat, w.Sand, w.Polish, w.Fit = times(w.Flash), times(w.Recoat), times(w.Sand), times(w.Polish), times(w.Fit)
		return w
	}
	return []coating.WaitAt{
		at(10, func(m int) int { return 2 * m }),
		at(20, func(m int) int { return m }),
		at(30, func(m int) int { return m / 2 }),
	}
}

// paints are the materials of the tale: each stands in the place of an example, so that
// the shop's list holds its own sheets only.
func paints() []restoration.Material {
	var list []restoration.Material
	for i, m := range coating.Examples() {
		s := sheets()[i]
		m.Name, m.Sheet, m.Revision, m.Example, m.Waits = s.name, s.sheet, s.revision, false, s.waits
		list = append(list, restoration.Material{ID: int64(i) + 1, Material: m})
	}
	return list
}
