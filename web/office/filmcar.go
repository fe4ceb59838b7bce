package office

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"

	"scumble/internal/colour"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// carFilmPage is the film, the gloss and the colours of all pieces of a car.
type carFilmPage struct {
	Page  ui.PageProps
	Back  string
	Lines []carFilmLine
	Sets  []matchLine
	Bare  int // pieces of which neither clear, gloss nor colour is known
	Near  int // pieces near their floor or under it
}

// carFilmLine is one piece of a car.
type carFilmLine struct {
	Piece, Href    string
	Which          string // where on the car, and the code, of a piece whose name another has too
	Set            string
	Coats          string // "3 of 4"; "" none
	Clear, Range   string
	Above          string // the floor; "" no clear is known
	State          restoration.FilmState
	Gloss, Wanted  string // as read, and as agreed
	GlossOff       bool
	Colour, Sample string // ΔE to the scheme's ground, and L*a*b*
	Off            bool   // the colour is beyond its tolerance
}

// blank tells whether there is nothing to show of the piece yet.
func (l carFilmLine) blank() bool {
	return l.Coats == "" && l.Clear == "" && l.Gloss == "" && l.Sample == ""
}

// low tells whether the clear is near its floor or under it.
func (l carFilmLine) low() bool { return l.State == restoration.FilmNear || l.State.Alert() }

func carFilmPath(workOrder string) string { return carPath(workOrder) + "/film" }

// carFilmData is what the film of a car is told from.
type carFilmData struct {
	Car      restoration.Car
	Pieces   []restoration.Piece
	Routes   map[int64]restoration.Route
	Deeds    map[restoration.ID][]restoration.Deed
	Schemes  []restoration.Scheme
	Settings restoration.Settings
}

func (o *Office) showCarFilm(w http.ResponseWriter, r *http.Request) error {
	car, err := o.carOf(r)
	if err != nil {
		return err
	}
	ctx, d := r.Context(), carFilmData{Car: car, Settings: visitOf(r).Settings, Deeds: map[restoration.ID][]restoration.Deed{}}
	if d.Pieces, err = o.shop.CarPieces(ctx, car.ID); err != nil {
		return err
	}
	if d.Routes, err = o.routesByID(ctx, routesOf(d.Pieces)); err != nil {
		return err
	}
	if d.Schemes, err = o.shop.Schemes(ctx, car.ID); err != nil {
		return err
	}
	deeds, err := o.shop.CarFilm(ctx, car.ID)
	if err != nil {
		return err
	}
	for _, deed := range deeds {
		d.Deeds[deed.PieceID] = append(d.Deeds[deed.PieceID], deed)
	}
	return web.Render(w, r, http.StatusOK, carFilmView(newCarFilmPage(d, o.page(r, ui.PageProps{Nav: "shop"}))))
}

func newCarFilmPage(d carFilmData, page ui.PageProps) carFilmPage {
	page.Title, page.Eyebrow = "Film and colour", carEyebrow(d.Car)
	p := carFilmPage{Page: page, Back: carPath(d.Car.WorkOrder)}
	sets, alike := map[string][]colour.Sample{}, map[string]int{}
	for _, piece := range d.Pieces {
		alike[piece.Title()]++
	}
	for _, piece := range d.Pieces {
		deeds, scheme := d.Deeds[piece.ID], d.scheme(piece.Scheme)
		line, name := d.line(piece, deeds, scheme), piece.Title()
		if alike[name] > 1 {
			line.Which, name = joinWords(whereWords(piece.Details), piece.Label), name+" "+piece.Label
		}
		if line.blank() {
			p.Bare++
			continue
		}
		if line.low() {
			p.Near++
		}
		p.Lines = append(p.Lines, line)
		if read := d.latest(piece, deeds, restoration.ReadColour); read != nil && piece.Set != "" {
			sets[piece.Set] = append(sets[piece.Set], colour.Sample{Key: piece.ID.String(), Name: name, Lab: *read.Lab})
		}
	}
	for _, set := range sortedKeys(sets) {
		p.Sets = append(p.Sets, matchLines(setWord(set), sets[set], nil, "", d.Settings.Film)...)
	}
	return p
}

// scheme is the scheme of that name, or what the car starts with.
func (d carFilmData) scheme(name string) restoration.Scheme {
	for _, s := range d.Schemes {
		if s.Name == name {
			return s
		}
	}
	return restoration.StockScheme(d.Car.ID, name)
}

func (d carFilmData) line(piece restoration.Piece, deeds []restoration.Deed, scheme restoration.Scheme) carFilmLine {
	units, settings := d.Settings.Units, d.Settings.Film
	film := restoration.FilmOf(piece, d.Routes[piece.RouteID], deeds, restoration.FilmScene{Film: settings, Scheme: scheme}.Policy())
	line := carFilmLine{Piece: piece.Title(), Href: piecePath(piece.ID) + "#film", Set: piece.Set}
	if n := len(restoration.ClearCoats(piece, d.Routes[piece.RouteID], deeds)); n > 0 {
		line.Coats = fmt.Sprintf("%d of %d", n, scheme.ClearCoats)
	}
	if film.Known() {
		line.Clear, line.Range = restoration.FilmWords(film.Clear.Likely, units), restoration.FilmSpan(film.Clear, units)
		line.Above = restoration.FilmWords(max(0, film.MayGoUM), units)
		line.State = restoration.StateOfFilm(film, scheme, piece.Building(d.Routes[piece.RouteID]))
	}
	if read := d.latest(piece, deeds, restoration.ReadGloss); read != nil {
		g := read.Gloss
		line.Gloss, line.GlossOff = g.String(), glossLine(*g, scheme.Gloss, settings.GlossGU).Off
		if scheme.Gloss != nil {
			line.Wanted = fmt.Sprintf("wanted %s ± %g", scheme.Gloss, settings.GlossGU)
		}
	}
	if read := d.latest(piece, deeds, restoration.ReadColour); read != nil {
		lab := read.Lab
		line.Sample = labWords(*lab)
		if scheme.Ground != nil {
			away := colour.DeltaE2000(*lab, *scheme.Ground)
			line.Colour, line.Off = fmt.Sprintf("ΔE %.1f", away), away > settings.OwnDeltaE
		}
	}
	return line
}

func (d carFilmData) latest(piece restoration.Piece, deeds []restoration.Deed, kind restoration.ReadingKind) *restoration.Reading {
	return restoration.LatestReading(piece, d.Routes[piece.RouteID], deeds, kind)
}

// sortedKeys are the keys of a map in the order of the alphabet.
func sortedKeys[V any](m map[string]V) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, cmp.Compare)
	return keys
}
