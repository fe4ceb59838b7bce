package bench

import (
	"maps"
	"net/http"
	"slices"

	"github.com/a-h/templ"

	"scumble/web/ui"
)

// againView holds a form that could not be saved yet. It needs nothing of the
// database, which is what is away.
type againView struct {
	Page   ui.PageProps
	Action string
	Fields []ui.FieldError // name and value of what was typed
}

// newAgain keeps a form as it was sent, but for secrets: a PIN is typed again.
func newAgain(r *http.Request, demo bool) againView {
	v := againView{Page: ui.PageProps{Title: "Not saved yet", Demo: demo}, Action: r.URL.Path}
	if r.PostForm == nil {
		_ = r.ParseForm() // what can be read of it is kept
	}
	for _, name := range slices.Sorted(maps.Keys(r.PostForm)) {
		for _, value := range r.PostForm[name] {
			if name != "pin" {
				v.Fields = append(v.Fields, ui.FieldError{Name: name, Text: value})
			}
		}
	}
	return v
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
