package ui

import (
	"fmt"

	"scumble/internal/coating"
	"scumble/internal/restoration"
)

// filmCase is a state of the film in the gallery.
type filmCase struct {
	Name string
	FilmProps
}

// filmDeeds builds a ledger: µm likely, give or take a share.
type filmDeeds []coating.Deed

func about(um, share float64) coating.Range {
	return coating.Range{Low: um * (1 - share), Likely: um, High: um * (1 + share)}
}

func (d *filmDeeds) coat(layer coating.Layer, um float64, session string) {
	*d = append(*d, coating.Deed{Coat: &coating.Coat{Layer: layer, DryUM: about(um, .15), Session: session}})
}

func (d *filmDeeds) cut(layer coating.Layer, um float64) {
	*d = append(*d, coating.Deed{Cut: &coating.Cut{Layer: layer, OffUM: about(um, .25)}})
}

func (d *filmDeeds) gauge(spot string, um float64, baseline bool) {
	*d = append(*d, coating.Deed{Gauge: &coating.Gauge{Spot: spot, MeanUM: um, N: 3, SigmaUM: 2, Baseline: baseline}})
}

// grained is a piece that is ready for its clear.
func grained() *filmDeeds {
	var d filmDeeds
	d.coat(coating.Primer, 40, "")
	d.cut(coating.Primer, 8)
	d.coat(coating.Ground, 26, "")
	d.coat(coating.Grain, 2, "")
	return &d
}

// clears sprays coats of clear, so many to a session.
func (d *filmDeeds) clears(coats, perSession int, um float64) []float64 {
	var list []float64
	for i := range coats {
		d.coat(coating.Clear, um, fmt.Sprint(i/perSession+1))
		list = append(list, um)
	}
	return list
}

func (d *filmDeeds) props(label string, colours Scheme) FilmProps {
	finish := restoration.StockScheme(1, "")
	policy := coating.UsualPolicy()
	policy.FloorUM, policy.BuildUM = finish.FloorUM, finish.BuildUM
	return FilmProps{Label: label, Film: coating.Measure(*d, policy), Finish: finish, Units: restoration.Metric, Colours: colours,
		Materials: map[coating.Layer]string{coating.Primer: "Grey epoxy primer", coating.Ground: "Ground, walnut", coating.Grain: "Graining ink, dark", coating.Clear: "Trim clear MS"}}
}

// fixtureFilms are the states of the film section.
func fixtureFilms() []filmCase {
	list := []filmCase{{"Nothing logged", new(filmDeeds).props("Ash tray", walnut)}}
	var primed filmDeeds
	primed.coat(coating.Primer, 40, "")
	primed.cut(coating.Primer, 8)
	primed.coat(coating.Ground, 26, "")
	add := func(name string, p FilmProps) { list = append(list, filmCase{name, p}) }
	add("Primer and ground only", primed.props("Header rail", mahogany))

	four := grained()
	coats := four.clears(4, 2, 36)
	p := four.props("Door panel, front", walnut)
	p.Coats = coats
	add("Four coats of clear", p)
	building := grained()
	p = building.props("Arm-rest escutcheon", walnut)
	p.Coats = building.clears(1, 1, 34)
	p.Film = building.props("", walnut).Film
	add("First coat of clear", p)
	four.cut(coating.Clear, 26)
	p = four.props("Instrument panel", walnut)
	p.Coats = coats
	add("Cut, with film to spare", p)
	return append(list, fixtureThinFilms()...)
}

// fixtureThinFilms are the films that want a look.
func fixtureThinFilms() []filmCase {
	near := grained()
	coats := near.clears(3, 3, 34)
	near.cut(coating.Clear, 26)
	p := near.props("Garnish moulding, front door", mahogany)
	p.Coats = coats
	list := []filmCase{{"Near the floor", p}}

	below := grained()
	coats = below.clears(3, 2, 30)
	below.cut(coating.Clear, 52)
	p = below.props("Capping, rear door", blonde)
	p.Coats = coats
	list = append(list, filmCase{"Below the floor", p}, filmCase{"By gauge, with measured spots", fixtureGauged()})

	p = below.props("Capping, rear door", blonde)
	p.Units = restoration.US
	list = append(list, filmCase{"US units", p})
	return append(list, fixtureOddFilms()...)
}

func fixtureGauged() FilmProps {
	d := grained()
	d.gauge("left end", 61, true)
	d.gauge("middle", 58, true)
	d.gauge("right end, by the winder", 60, true)
	d.gauge("return edge", 57, true)
	coats := d.clears(4, 2, 34)
	d.cut(coating.Clear, 24)
	d.gauge("left end", 61+98, false)
	d.gauge("middle", 58+111, false)
	d.gauge("right end, by the winder", 60+86, false)
	p := d.props("Garnish moulding, rear door", walnut)
	p.Coats = coats
	return p
}

// fixtureOddFilms strain the picture.
func fixtureOddFilms() []filmCase {
	lacquer := grained()
	coats := lacquer.clears(40, 8, 4.4)
	lacquer.cut(coating.Clear, 18)
	p := lacquer.props("Glove-box door", NewScheme("#6b4a2f", "#1d110a"))
	p.Coats = coats
	p.Materials[coating.Clear] = "Nitrocellulose lacquer"
	list := []filmCase{{"Lacquer, 40 thin coats", p}}

	var thick filmDeeds
	thick.coat(coating.Primer, 60, "")
	thick.coat(coating.Filler, 900, "")
	thick.cut(coating.Filler, 350)
	thick.coat(coating.Ground, 35, "")
	thick.coat(coating.Grain, 3, "")
	coats = thick.clears(6, 2, 36)
	thick.cut(coating.Clear, 40)
	p = thick.props("Parcel shelf", blonde)
	p.Coats = coats
	list = append(list, filmCase{"Very thick: filler over a dent", p})

	var long filmDeeds
	long.coat(coating.Primer, 28, "")
	long.coat(coating.Ground, 18, "")
	long.coat(coating.Grain, 1, "")
	coats = long.clears(5, 1, 30)
	long.cut(coating.Clear, 12)
	p = long.props(longName, mahogany)
	p.Coats = coats
	p.Materials[coating.Clear] = "Two-component clear, slow, high solids, with the amber toner"
	return append(list, filmCase{"A long name, five sessions", p})
}
