package bench

import (
	"context"
	"log/slog"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/go-chi/chi/v5"
	"golang.org/x/sync/semaphore"

	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
)

// Shop is what the bench asks of the store.
type Shop interface {
	Door
	Work
	Film
	Photos
	Shelves

	// Enter takes entries into the ledger, each in a transaction of its own, and
	// answers them in the same order. An id that it has seen gets the answer it got.
	Enter(ctx context.Context, events []restoration.Event) ([]restoration.Outcome, error)
	// LetGo notes that its author no longer wants a refused entry taken.
	LetGo(ctx context.Context, by restoration.Actor, entry restoration.ID, says string) error
}

// Door is who may come in.
type Door interface {
	EnrolDevice(ctx context.Context, codeHash, tokenHash []byte) (restoration.Device, error)
	// FindDevice finds an enrolled tablet; one that was revoked is not found.
	FindDevice(ctx context.Context, tokenHash []byte) (restoration.Device, error)
	// FindVisit is FindDevice with the shop's settings and the person, zero when unknown.
	FindVisit(ctx context.Context, tokenHash []byte, personID int64) (restoration.Visit, error)
	BenchPeople(ctx context.Context, deviceID int64) ([]restoration.Person, error)
	FindPerson(ctx context.Context, id int64) (restoration.Person, error)
	PINHash(ctx context.Context, id int64) (string, error)
	RecordMiss(ctx context.Context, id int64) (restoration.Person, error)
	RecordSignIn(ctx context.Context, id, deviceID int64) error
}

// Work is what there is to do.
type Work interface {
	// WorkKeys lists the key of every piece with something left to do, in no order.
	WorkKeys(ctx context.Context) ([]restoration.WorkKey, error)
	// FinishedKeys lists the key of every piece of the same cars with nothing left to do, in no order.
	FinishedKeys(ctx context.Context) ([]restoration.WorkKey, error)
	// LastChanges tells of each of the pieces what was said of it last, in their order.
	LastChanges(ctx context.Context, pieces []restoration.ID) ([]restoration.LastChange, error)
	// WorkOf loads the work on those of the pieces that have some, in their order.
	WorkOf(ctx context.Context, ids []restoration.ID) ([]restoration.Work, error)
	Places(ctx context.Context) ([]string, error)
	FindPiece(ctx context.Context, id restoration.ID) (restoration.Piece, error)
	FindPieceByLabel(ctx context.Context, label string) (restoration.Piece, error)
	// FindPieces finds pieces of open cars by words; the hits name no customer.
	FindPieces(ctx context.Context, q string, limit int) ([]restoration.Hit, error)
	FindCarByID(ctx context.Context, id int64) (restoration.Car, error)
	FindRoute(ctx context.Context, id int64) (restoration.Route, error)
	CarPieces(ctx context.Context, carID int64) ([]restoration.Piece, error)
	People(ctx context.Context) ([]restoration.Person, error)
	History(ctx context.Context, f restoration.HistoryFilter) ([]restoration.Entry, error)
	// Timers gives a person's clocks that run or are not logged yet, the one that runs first.
	Timers(ctx context.Context, personID int64) ([]restoration.Timer, error)
	// TimeSheet lists what a person logged from an hour until before another.
	TimeSheet(ctx context.Context, from, to time.Time, personID int64) ([]restoration.SheetRow, error)
	// GradeSteel keeps the condition seen on bare steel, once for each entry; the zero id is no entry's.
	GradeSteel(ctx context.Context, by restoration.Actor, entry, piece restoration.ID, grade int) error
}

// Options are what the bench is made of.
type Options struct {
	Shop     Shop
	Log      *slog.Logger        // nil discards
	Sessions *scs.SessionManager // made by [NewSessions]
	Now      func() time.Time    // nil is time.Now
	Release  string              // of the program: with another one a tablet fetches again what it keeps
	Demo     bool                // says on every page that the shop is invented
	Live     *web.Live           // of the shop
	Intake   *photos.Intake      // shared with the office, so that memory is bounded for both; nil makes one
}

// Bench serves the tablet's pages.
type Bench struct {
	shop     Shop
	log      *slog.Logger
	sessions *scs.SessionManager
	now      func() time.Time
	release  string
	demo     bool
	live     *web.Live
	adapter  web.Adapter
	sorting  *semaphore.Weighted // see listsAtOnce
	intake   *photos.Intake
}

// New makes a Bench. It takes o.Sessions for its own: their errors are answered in
// its look from then on.
func New(o Options) *Bench {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Intake == nil {
		o.Intake = photos.NewIntake()
	}
	b := &Bench{shop: o.Shop, log: o.Log, sessions: o.Sessions, now: o.Now, release: o.Release, demo: o.Demo, live: o.Live, sorting: semaphore.NewWeighted(listsAtOnce), intake: o.Intake}
	b.adapter = web.Adapter{Log: o.Log, Page: b.errorPage, Again: b.again}
	b.sessions.ErrorFunc = b.failSession
	return b
}

// Routes registers every page of the bench; r is mounted at "/bench".
func (b *Bench) Routes(r chi.Router) {
	r.Use(noStore, asScript)
	r.Post(airPath, b.handle(b.takeAir))
	b.offlineRoutes(r)
	r.Group(func(r chi.Router) {
		r.Use(b.sessions.LoadAndSave)
		b.enrolRoutes(r)
		r.Group(func(r chi.Router) {
			r.Use(b.needDevice)
			b.peopleRoutes(r)
			r.Group(func(r chi.Router) {
				r.Use(b.needPerson, b.needHours)
				b.timerRoutes(r)
				b.listRoutes(r)
				b.pieceRoutes(r)
				b.scanRoutes(r)
				b.placeRoutes(r)
				b.togetherRoutes(r)
				b.photoRoutes(r)
				b.letGoRoutes(r)
				r.Get(keptPath, b.handle(b.listToKeep))
				r.Get(keptPath+"/pieces/{id}", b.handle(b.keepPiece))
				r.Get("/live", b.handle(b.live.Stream))
			})
			r.With(b.needEnterer).Post("/cautions", b.handle(b.readCautions))
			r.With(b.needEnterer).Post(eventsPath, b.handle(b.takeEvents))
			r.With(b.needEnterer).Post(photosPath, b.handle(b.takePhotos))
			r.With(b.needEnterer).Post("/pieces/{id}/grade", b.handle(b.gradeSteel))
		})
	})
}

func (b *Bench) handle(h web.HandlerFunc) http.HandlerFunc { return b.adapter.Handle(h) }

// failSession answers when the session can't be read or kept: the sessions live in
// the same database as the work.
func (b *Bench) failSession(w http.ResponseWriter, r *http.Request, err error) {
	b.log.WarnContext(r.Context(), "session not available", "path", r.URL.Path, "err", err)
	b.adapter.Fail(w, r, restoration.Problemf(restoration.TroubleUnavailable, "",
		"The database can't be reached just now. Nothing is lost; try again in a moment."))
}

// eventsPath is the intake, below where the bench is mounted.
const eventsPath = "/events"

// asScript answers whoever calls an intake as a script, whatever it says to accept:
// a page would be lost on it.
func asScript(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if slices.ContainsFunc([]string{eventsPath, airPath, letGoPath}, func(p string) bool { return strings.HasSuffix(r.URL.Path, p) }) {
			r.Header.Set("Accept", "application/problem+json")
		}
		next.ServeHTTP(w, r)
	})
}

// noStore keeps the pages out of every cache: after "next person" the back button
// shows nothing of the last one.
func noStore(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}
