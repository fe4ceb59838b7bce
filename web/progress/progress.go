// Package progress is the customer's face: one read-only page behind an
// unguessable link. It shows how far the car is, which pieces stand where, and what
// the shop wants to say; nothing of money, of people, or of anybody else's car.
//
// It sets no cookie, loads nothing from elsewhere, and answers every wrong, expired
// or revoked link with one and the same 404.
package progress

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"time"

	"github.com/a-h/templ"
	"github.com/go-chi/chi/v5"

	"scumble/internal/access"
	"scumble/internal/photos"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// Shop is what the page asks of the store.
type Shop interface {
	// OpenLink gives NotFound for a token that is unknown, expired or revoked.
	OpenLink(ctx context.Context, tokenHash []byte) (restoration.Link, error)
	FindCarByID(ctx context.Context, id int64) (restoration.Car, error)
	CarPieces(ctx context.Context, carID int64) ([]restoration.Piece, error)
	CarRoll(ctx context.Context, carID int64) (restoration.CarRoll, error)
	History(ctx context.Context, f restoration.HistoryFilter) ([]restoration.Entry, error)
	Settings(ctx context.Context) (restoration.Settings, error)
	Photos(ctx context.Context, f restoration.PhotoFilter) ([]restoration.PiecePhoto, error)
	// FindSharedPicture gives NotFound for all but what the owner of the link may see now.
	FindSharedPicture(ctx context.Context, tokenHash []byte, id photos.ID, small bool) ([]byte, error)
}

// Options are what the room is made of.
type Options struct {
	Shop Shop
	Log  *slog.Logger
	Now  func() time.Time // nil is time.Now
	Demo bool             // says on the page that the shop is invented
}

// Progress serves the customer's page.
type Progress struct {
	shop    Shop
	now     func() time.Time
	demo    bool
	adapter web.Adapter
}

// New makes a Progress; it keeps no state of its own.
func New(o Options) *Progress {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	return &Progress{shop: o.Shop, now: o.Now, demo: o.Demo, adapter: web.Adapter{Log: o.Log, Page: errorPage}}
}

// Routes registers the page; r is mounted at "/p".
func (p *Progress) Routes(r chi.Router) {
	r.Use(private)
	r.Get("/{token}", p.adapter.Handle(p.show))
	r.Get("/{token}/photos/{photo}", p.adapter.Handle(p.picture(false)))
	r.Get("/{token}/photos/{photo}/small", p.adapter.Handle(p.picture(true)))
	r.NotFound(p.adapter.Handle(func(http.ResponseWriter, *http.Request) error { return errNoLink }))
}

// private keeps the page out of caches, search and referrers.
func private(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Cache-Control", "no-store")
		h.Set("X-Robots-Tag", "noindex, nofollow, noarchive")
		h.Set("Referrer-Policy", "no-referrer")
		next.ServeHTTP(w, r)
	})
}

// errNoLink is the one answer to every link that doesn't open.
var errNoLink = &restoration.Problem{Trouble: restoration.TroubleNotFound,
	Message: "This link doesn't open anything (any more). Ask the shop for a new one."}

func (p *Progress) show(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	link, err := p.shop.OpenLink(ctx, access.HashToken(chi.URLParam(r, "token")))
	if problem, ok := restoration.AsProblem(err); ok && problem.Trouble == restoration.TroubleNotFound {
		return errNoLink
	}
	if err != nil {
		return err
	}
	facts, err := p.load(ctx, link)
	if err != nil {
		return err
	}
	facts.address = "/p/" + chi.URLParam(r, "token")
	return web.Render(w, r, http.StatusOK, carPage(viewOf(facts)))
}

// errorPage is the same for whatever went wrong: it never tells whether a link was
// ever good.
func errorPage(_ int, message string) templ.Component {
	return sorryPage(ui.PageProps{Title: "Nothing to see here", Tab: "Progress",
		Flash: &ui.Notice{Kind: ui.NoticeInfo, Text: message}})
}

// lookBack is how many entries are looked through for the last that was work.
const lookBack = 200

// lastWorked is when work was last done; zero when none of the entries was work.
func lastWorked(newestFirst []restoration.Entry) time.Time {
	for _, e := range newestFirst {
		switch e.Event.Kind {
		case restoration.KindTick, restoration.KindLogTime, restoration.KindStart:
			if e.Outcome.Result != restoration.Refused {
				return e.Event.At
			}
		}
	}
	return time.Time{}
}

// facts are what a page is built from.
type facts struct {
	link     restoration.Link
	car      restoration.Car
	pieces   []restoration.Piece
	roll     restoration.Roll
	touched  time.Time                // when work was last done; zero: not yet
	photos   []restoration.PiecePhoto // that the shop chose, in the order of time
	address  string                   // of the page
	settings restoration.Settings
	now      time.Time
	demo     bool
}

func (p *Progress) load(ctx context.Context, link restoration.Link) (facts, error) {
	f := facts{link: link, now: p.now(), demo: p.demo}
	var roll restoration.CarRoll
	var history []restoration.Entry
	var errs [6]error
	f.settings, errs[0] = p.shop.Settings(ctx)
	f.car, errs[1] = p.shop.FindCarByID(ctx, link.CarID)
	f.pieces, errs[2] = p.shop.CarPieces(ctx, link.CarID)
	roll, errs[3] = p.shop.CarRoll(ctx, link.CarID)
	history, errs[4] = p.shop.History(ctx, restoration.HistoryFilter{CarID: link.CarID, Limit: lookBack})
	f.photos, errs[5] = p.shop.Photos(ctx, restoration.PhotoFilter{CarID: link.CarID, Shared: true})
	f.roll = roll.Roll
	f.touched = lastWorked(history)
	return f, errors.Join(errs[:]...)
}
