package office

import (
	"context"
	"net/http"
	"slices"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// film is what was sprayed, sanded off and measured, and the records about it.
type film interface {
	CarFilm(ctx context.Context, carID int64) ([]restoration.Deed, error)
	FilmScene(ctx context.Context, piece restoration.ID) (restoration.FilmScene, error)

	// LookAgain lists the pieces that were cut from an hour until before another, and whose
	// gloss nobody has read since it was time to; FilmOverrides what was let through though
	// the rules asked for a reason.
	LookAgain(ctx context.Context, from, to time.Time) ([]restoration.CutPiece, error)
	FilmOverrides(ctx context.Context, since time.Time) ([]restoration.Entry, error)

	DefectRows(ctx context.Context, from, to time.Time) ([]restoration.DefectRow, error)
	UsageRows(ctx context.Context, from, to time.Time) ([]restoration.Sprayed, error)

	Certificates(ctx context.Context) ([]restoration.Certificate, error)
	AddCertificate(ctx context.Context, by restoration.Actor, c restoration.Certificate) (restoration.Certificate, error)
	DropCertificate(ctx context.Context, by restoration.Actor, id int64) error
}

// filmRoutes are the pages about the finish itself and its records.
func (o *Office) filmRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Post("/pieces/{id}/film", h(o.enterFilm))
	r.Get("/cars/{wo}/film", h(o.showCarFilm))
	r.Get("/cars/{wo}/readings", h(o.showReadings))
	r.Post("/cars/{wo}/readings", h(o.importReadings))
	r.Get("/defects", h(o.showDefects))
	r.Get("/defects.csv", h(o.defectsTable))
	r.Get("/records", h(o.showRecords))
	r.Get("/records.csv", h(o.recordsTable))
	r.Get("/certificates", h(o.showCertificates))
	r.Post("/certificates", h(o.addCertificate))
	r.Post("/certificates/{id}/drop", h(o.dropCertificate))
	r.Get("/reference", h(o.showReference))
	r.Get("/settings/film", h(o.showFilmSettings))
	r.Post("/settings/film", h(o.saveFilmSettings))
}

// filmData is what a piece's page tells of its film.
type filmData struct {
	Scene     restoration.FilmScene
	Materials []restoration.Material
	Lots      []restoration.Lot
	Striking  restoration.ID // the entry that is to be struck out; zero none
}

// logged tells whether an entry of the film stands already.
func (d filmData) logged(id restoration.ID) bool {
	return slices.ContainsFunc(d.Scene.Deeds, func(deed restoration.Deed) bool { return deed.EventID == id })
}

// loadFilm asks for all that a piece's page tells of its film.
func (o *Office) loadFilm(r *http.Request, piece restoration.Piece, f *form) (d filmData, err error) {
	ctx := r.Context()
	if d.Scene, err = o.shop.FilmScene(ctx, piece.ID); err != nil {
		return d, err
	}
	if d.Materials, err = o.shop.Materials(ctx); err != nil {
		return d, err
	}
	if d.Lots, err = o.shop.Lots(ctx); err != nil {
		return d, err
	}
	d.Striking, _ = restoration.ParseID(f.orQuery(r, "strike")) // what is no id strikes nothing
	return d, nil
}

// filmPanel is the film of a piece as its page shows it.
type filmPanel struct {
	Picture ui.FilmProps
	Logged  bool // anything is
	Log     []deedLine
	Strike  *deedLine // the entry that is to be struck out
	Match   []matchLine
	Forms   filmForms
}

func newFilmPanel(d pieceData) filmPanel {
	films, sc, loc := d.Film, d.Film.Scene, d.Settings.Location()
	next, _ := d.Route.Stage(d.Piece.Sum.NextStage)
	p := filmPanel{
		Picture: ui.FilmProps{
			Label: d.Piece.Title(), Film: restoration.FilmOf(d.Piece, d.Route, sc.Deeds, sc.Policy()),
			Building: d.Piece.Building(d.Route), Finish: sc.Scheme, Units: sc.Units,
			Colours: ui.NewScheme(d.Car.Ground, d.Car.Grain), Materials: sprayedWith(d.Piece, sc.Deeds), Coats: clearDrawn(d.Piece, sc.Deeds),
			ReadAt: readAt(sc.Deeds, loc), Finished: d.Piece.Finished(),
		}.Hardening(restoration.SoftnessOf(d.Piece, d.Route, sc.Deeds, d.Now), next.Look, d.Now, loc),
		Logged: len(sc.Deeds) > 0,
		Match:  pieceMatch(d.Piece, d.Route, sc),
		Forms:  newFilmForms(d, films),
	}
	log := filmLog{entries: entriesByID(d.History), lots: lotsByID(films.Lots), materials: films.Materials, piece: d.Piece, route: d.Route, units: sc.Units, path: piecePath(d.Piece.ID)}
	for _, deed := range slices.Backward(sc.Deeds) {
		line := log.line(deed)
		p.Log = append(p.Log, line)
		if deed.EventID == films.Striking {
			p.Strike = &line
		}
	}
	return p
}

// readAt is when each spot of a film was read last.
func readAt(deeds []restoration.Deed, loc *time.Location) map[string]string {
	at := map[string]string{}
	for _, d := range deeds {
		if d.Kind == restoration.KindReading && d.Reading.Kind == restoration.ReadFilm && !d.Reading.Baseline {
			at[d.Reading.Spot] = ui.When(d.At, loc)
		}
	}
	return at
}

// filmEntries is how many entries of a piece are looked through for what was said with
// its coats and passes; the latest of them are the page's history.
const filmEntries = 300

// tickFacts are what the film asks for, were the step whose turn it is ticked now.
func tickFacts(d pieceData) restoration.Facts {
	e := restoration.Event{Kind: restoration.KindTick, PieceID: d.Piece.ID, StepID: d.Piece.Sum.NextStep, At: d.Now, Arrived: d.Now}
	if !restoration.NeedsFacts(d.Piece, d.Route, e) {
		return restoration.Facts{}
	}
	return *restoration.Judge(d.Piece, d.Route, e, d.Film.Scene)
}

// nextCautions are those of the stage whose turn it is, by the materials of the scheme.
func nextCautions(d pieceData) []restoration.Caution {
	stage, _ := d.Route.Stage(d.Piece.Sum.NextStage)
	return restoration.SchemeCautions(stage, d.Film.Scene.Scheme, d.Film.Materials)
}
