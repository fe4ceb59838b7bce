package bench

import (
	"cmp"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// tinLine is a tin that may have been used.
type tinLine struct {
	ID      int64
	Part    int // of the mix; its tins stand together
	Words   string
	Trouble string
	Ticked  bool
}

// tins are those that hold the material, with those ticked that a coat of so many mL ready
// to spray begins with, or that a person ticked.
func (f *filmInput) tins(m restoration.Material, ml float64, form url.Values, in pieceInput) []tinLine {
	chosen := f.chosenTins(m, ml, in.Now)
	if coatTyped(form) {
		chosen = nil
		for _, id := range form["coat.lots"] {
			if lot, err := strconv.ParseInt(id, 10, 64); err == nil {
				chosen = append(chosen, lot)
			}
		}
	}
	var list []tinLine
	for _, l := range f.Lots {
		if l.Material == m.ID {
			list = append(list, tinLine{ID: l.ID, Part: l.Part, Words: tinWords(m, l, in.Units), Trouble: l.Trouble(in.Now, m.PartML(l.Part, ml)),
				Ticked: slices.Contains(chosen, l.ID)})
		}
	}
	slices.SortStableFunc(list, func(a, b tinLine) int { return cmp.Compare(a.Part, b.Part) })
	return list
}

// chosenTins are those that a coat begins with. Of each part of the mix it is the tin used
// last, as long as it holds enough; then one that does. Of a part never used here only a
// tin that leaves no choice is taken.
func (f *filmInput) chosenTins(m restoration.Material, ml float64, now time.Time) []int64 {
	last := f.lastTins(m.ID)
	var chosen []int64
	for part := range max(1, len(m.Parts)) {
		var sound, enough, used []int64
		for _, l := range f.Lots {
			if l.Material != m.ID || l.Part != part {
				continue
			}
			if l.Trouble(now, 0) == "" {
				sound = append(sound, l.ID)
			}
			if l.Trouble(now, m.PartML(part, ml)) == "" {
				enough = append(enough, l.ID)
			}
			if slices.ContainsFunc(last, func(use restoration.LotUse) bool { return use.Lot == l.ID }) {
				used = append(used, l.ID)
			}
		}
		chosen = append(chosen, pickTin(sound, enough, used)...)
	}
	return chosen
}

// pickTin chooses among the tins of one part: those that may be used at all, those that
// hold enough, and those used last.
func pickTin(sound, enough, used []int64) []int64 {
	usedEnough := slices.DeleteFunc(slices.Clone(used), func(id int64) bool { return !slices.Contains(enough, id) })
	switch {
	case len(usedEnough) > 0:
		return usedEnough
	case len(used) > 0 && len(enough) > 0:
		return enough[:1]
	case len(used) > 0:
		return used
	case len(enough) == 1:
		return enough
	case len(enough) == 0 && len(sound) == 1:
		return sound
	}
	return nil
}

// lastTins are the tins of the last coat of a material, on this piece or on its car; the
// scheme's where none was sprayed yet.
func (f *filmInput) lastTins(material int64) []restoration.LotUse {
	for _, deeds := range [][]restoration.Deed{f.Scene.Deeds, f.Scene.Car} {
		for _, d := range slices.Backward(deeds) {
			var uses []restoration.LotUse
			for _, use := range d.Lots {
				if i := f.lot(use.Lot); i >= 0 && f.Lots[i].Material == material {
					uses = append(uses, use)
				}
			}
			if len(uses) > 0 {
				return uses
			}
		}
	}
	if i := f.lot(f.Scene.Scheme.GroundLot); i >= 0 && f.Lots[i].Material == material {
		return []restoration.LotUse{{Lot: f.Scene.Scheme.GroundLot}}
	}
	return nil
}

func (f *filmInput) lot(id int64) int {
	return slices.IndexFunc(f.Lots, func(l restoration.Lot) bool { return l.ID == id })
}

func tinWords(m restoration.Material, l restoration.Lot, units restoration.Units) string {
	name := m.Name
	if len(m.Parts) > 1 && l.Part < len(m.Parts) {
		name = upperFirst(m.Parts[l.Part].Name)
	}
	left := restoration.VolumeWords(max(0, l.LeftML), units) + " left"
	return name + ", lot " + l.Number + ": " + strings.ReplaceAll(left, " ", "\u00a0")
}
