package bench

import (
	"net/http"

	"github.com/a-h/templ"

	"scumble/web"
	"scumble/web/ui"
)

// againView holds a form that could not be saved yet. It needs nothing of the
// database, which is what is away.
type againView struct {
	Page   ui.PageProps
	Action string
	Fields []web.TypedField
}

// again keeps a form as it was sent, ready to be sent again.
func (b *Bench) again(r *http.Request) templ.Component {
	if r.PostForm == nil {
		_ = r.ParseForm() // what can be read of it is kept
	}
	return againPage(againView{Page: ui.PageProps{Title: "Not saved yet", Demo: b.demo}, Action: r.URL.Path, Fields: web.Typed(r.PostForm)})
}

func (b *Bench) errorPage(status int, message string) templ.Component {
	title := "Something went wrong"
	switch status {
	case http.StatusNotFound:
		title = "Not found"
	case http.StatusServiceUnavailable:
		title = "One moment"
	case http.StatusForbidden:
		title = "Not for you"
	}
	return faultPage(ui.PageProps{Title: title, Demo: b.demo, Back: "/bench", BackWord: "Ready now"}, message)
}
