package bench

import (
	"net/http"
	"strings"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// filmed tells whether an entry is one of the film.
func (in Incoming) filmed() bool {
	switch in.Kind {
	case restoration.KindCoat, restoration.KindCutPass, restoration.KindReading, restoration.KindStrike:
		return true
	}
	return false
}

// saidOfFilm tells what was saved of the film with what the rules found, which the
// ledger has by now. Without it the plain words must do.
func (b *Bench) saidOfFilm(r *http.Request, in Incoming, plain ui.Notice, p restoration.Piece) ui.Notice {
	entries, err := b.shop.History(r.Context(), restoration.HistoryFilter{PieceID: p.ID, Limit: ledgerShown})
	if err != nil {
		b.log.WarnContext(r.Context(), "what was found of an entry is not told", "event", in.ID, "err", err)
		return plain
	}
	for _, e := range entries {
		if e.Event.ID == in.ID && e.Outcome.Result == restoration.Applied {
			return filmNotice(p.Title(), e, visitOf(r).shop.Units)
		}
	}
	return plain
}

// filmNotice says an entry of the film and, apart, what the rules warn of.
func filmNotice(title string, e restoration.Entry, units restoration.Units) ui.Notice {
	f := e.Event.Facts
	e.Event.Checks = nil
	n := ui.Notice{Kind: ui.NoticeDone}
	var warned []string
	if f != nil && len(f.Needs) > 0 {
		n.Kind = ui.NoticeWarned
	}
	if f != nil && len(f.Warnings) > 0 {
		n.Kind = ui.NoticeWarned
		warned = f.Warnings
		without := *f
		without.Warnings = nil
		e.Event.Facts = &without
	}
	n.Text = title + ": " + lowerFirst(restoration.Words(e, units)) + "."
	n.Text = strings.Join(append([]string{n.Text}, warned...), " ")
	return n
}
