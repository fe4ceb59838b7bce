package office

import (
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// againProps is a form that could not be saved yet. Its page needs nothing of the
// database, which may be what is away.
type againProps struct {
	Page     ui.PageProps
	First    string // what to do before, in a window of its own; "" nothing
	Action   string
	Encoding string
	Fields   []web.TypedField
}

// againPage keeps a form that the database can't take just now.
func againPage(r *http.Request) templ.Component {
	return keptForm(r, "The database can't be reached just now. What you typed stands here, nothing is lost: send it again in a moment.", "")
}

// signedOutPage keeps a form that came after its session had ended.
func signedOutPage(r *http.Request) templ.Component {
	return keptForm(r, "Your sign-in has ended. What you typed stands here, nothing is lost: sign in by the link, which opens a window of its own, then send it again.", signInPath)
}

// keptForm holds a form as it was sent, a table that was chosen as its text, ready
// to be sent again.
func keptForm(r *http.Request, why, first string) templ.Component {
	if r.PostForm == nil {
		_, _ = readListForm(nil, r) // what can't be read can't be kept
	}
	encoding := "application/x-www-form-urlencoded"
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/") {
		encoding = "multipart/form-data" // takes tables of any length
	}
	return againForm(againProps{
		Page:  ui.PageProps{Title: "Not saved yet", Flash: &ui.Notice{Kind: ui.NoticeError, Text: why}},
		First: first, Action: r.URL.RequestURI(), Encoding: encoding, Fields: web.Typed(r.PostForm),
	})
}

// failSession answers when the session can't be read or kept: the sessions live in
// the same database as the work.
func (o *Office) failSession(w http.ResponseWriter, r *http.Request, err error) {
	o.log.WarnContext(r.Context(), "session not available", "path", r.URL.Path, "err", err)
	o.adapter.Fail(w, r, restoration.Problemf(restoration.TroubleUnavailable, "",
		"The database can't be reached just now. Nothing is lost; try again in a moment."))
}
