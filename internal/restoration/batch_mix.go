package restoration

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"scumble/internal/coating"
)

// gunMLPerMin is what a gun lays down with its passes, pauses and turning of pieces in
// it; common practice, no source.
const gunMLPerMin = 60

// finish works out what a gathered group needs.
func (g *grouping) finish(gr *group) Batch {
	b := gr.Batch
	b.Key = gr.key.String()
	b.Saved = Minutes(max(0, b.Taken-1)) * gr.setUp
	slices.SortFunc(gr.pieces, func(x, y *BatchPiece) int {
		return cmp.Or(cmp.Compare(x.turn(g.now), y.turn(g.now)), byKey(x.SprayKey, y.SprayKey))
	})
	b.Pieces = make([]BatchPiece, len(gr.pieces))
	for i, p := range gr.pieces {
		b.Pieces[i] = *p
	}
	if b.Material == nil {
		b.Missing = append(b.Missing, g.sayChoose(b.Layer))
	} else {
		g.mix(&b, gr.coatM2)
		b.Missing = append(b.Missing, g.lacking(&b, gr.lot)...)
	}
	switch {
	case gr.noArea == 1:
		b.Missing = append(b.Missing, "1 piece has no area, so the amount leaves it out.")
	case gr.noArea > 1:
		b.Missing = append(b.Missing, fmt.Sprintf("%d pieces have no area, so the amount leaves them out.", gr.noArea))
	}
	return b
}

func byKey(a, b *SprayKey) int {
	if a.Car.WorkOrder != b.Car.WorkOrder {
		return strings.Compare(a.Car.WorkOrder, b.Car.WorkOrder)
	}
	if a.Title != b.Title {
		return strings.Compare(a.Title, b.Title)
	}
	return slices.Compare(a.PieceID[:], b.PieceID[:])
}

// sayChoose asks for the material of a layer.
func (g *grouping) sayChoose(layer coating.Layer) string {
	own := 0
	for _, m := range g.materials {
		if m.Layer == layer && !m.Example {
			own++
		}
	}
	if own == 0 {
		return fmt.Sprintf("The shop's list has no %s of its own. Enter its data sheet among the materials.", layer)
	}
	return fmt.Sprintf("The shop has %d materials for %s. Choose one in the car's scheme.", own, layer)
}

// mix works out the amount, its parts and how often it is mixed. What can't be worked
// out stands among what is missing.
func (g *grouping) mix(b *Batch, coatM2 float64) {
	m, film := b.Material, g.shop.Film
	b.WetUM = m.WetUM
	if m.Example {
		b.Missing = append(b.Missing, m.Name+" is an example. Put the figures of your own data sheet in its place.")
	}
	if m.WetUM.Likely <= 0 {
		b.Missing = append(b.Missing, "The sheet of "+m.Name+" says no wet film for a coat, so no amount is known.")
	}
	if m.WetUM.Likely <= 0 || coatM2 == 0 {
		return
	}
	life, estimated := m.PotLifeAt(g.shop.TempC, film.Per10C)
	b.PotLife, b.Estimated = Minutes(life), estimated && life > 0
	need := coating.Need{AreaM2: coatM2, WetUM: m.WetUM.Likely, Coats: 1, Transfer: film.Transfer, Waste: film.Waste, FixedML: film.FixedML}
	total, err := coating.ReadyToSprayML(need)
	if err == nil {
		minutes := total/gunMLPerMin + float64(b.Coats-1)*g.flash[m.ID].Minutes()
		b.Mix, err = coating.Mixes(total, film.FixedML, float64(life), minutes)
	}
	if err == nil {
		b.NeedML = b.Mix.TotalML
		b.Parts, err = coating.SplitML(b.Mix.EachML, m.Parts, m.Thinner, cupOf(g.shop.Units))
	}
	if err != nil {
		b.Missing = append(b.Missing, err.Error())
		return
	}
	b.pour()
	for i := range b.Pieces {
		if p := &b.Pieces[i]; p.Taken {
			p.ML = b.NeedML * p.FaceM2 / coatM2
		}
	}
}

// cupOf is what a shop measures its paint with.
func cupOf(units Units) coating.Cup {
	if units == US {
		return coating.CupFlOz
	}
	return coating.CupML
}

// pour takes as the amount what the cups hold together: each part is rounded up to a
// mark of the cup, and all of it is mixed.
func (b *Batch) pour() {
	b.Mix.EachML = 0
	for _, p := range b.Parts {
		b.Mix.EachML += p.ML
	}
	b.Mix.TotalML = b.Mix.EachML * float64(b.Mix.Count)
	b.NeedML = b.Mix.TotalML
}

// stock is what is left in the tins that may be used, by material and part.
type stock map[tinKey][]Lot

type tinKey struct {
	material int64
	part     int
}

func stockOf(lots []Lot, now time.Time) stock {
	s := stock{}
	for _, l := range lots {
		if l.Trouble(now, 0) == "" {
			k := tinKey{l.Material, l.Part}
			s[k] = append(s[k], l)
		}
	}
	return s
}

// lacking tells which parts of the mix the tins don't hold. The thinner of a sheet is
// not counted: it is not kept by lots.
func (g *grouping) lacking(b *Batch, groundLot int64) []string {
	var says []string
	for i, part := range b.Material.Parts {
		tins := g.stock[tinKey{b.Material.ID, i}]
		name := b.Material.Name
		if len(b.Material.Parts) > 1 {
			name += ", " + part.Name
		}
		if i == 0 && groundLot != 0 {
			tins = slices.DeleteFunc(slices.Clone(tins), func(l Lot) bool { return l.ID != groundLot })
			name = "the car's lot of " + name
		}
		var need float64
		if i < len(b.Parts) {
			need = b.Parts[i].ML * float64(b.Mix.Count)
		}
		if say := g.shortOf(name, tins, need, b.Car != nil && i == 0); say != "" {
			says = append(says, say)
		}
	}
	return says
}

// shortOf compares tins with what is needed of them; "" they hold it. Of one lot: one
// tin must hold all.
func (g *grouping) shortOf(name string, tins []Lot, needML float64, oneLot bool) string {
	words := func(ml float64) string { return VolumeWords(ml, g.shop.Units) }
	sum, most := 0.0, 0.0
	for _, l := range tins {
		sum, most = sum+l.LeftML, max(most, l.LeftML)
	}
	switch {
	case len(tins) == 0:
		return fmt.Sprintf("No tin of %s is at hand that may be used.", name)
	case sum < needML:
		return fmt.Sprintf("Only %s of %s are left, %s are needed.", words(sum), name, words(needML))
	case oneLot && most < needML:
		return fmt.Sprintf("No single lot of %s holds the %s that are needed. Intermix before you start.", name, words(needML))
	}
	return ""
}
