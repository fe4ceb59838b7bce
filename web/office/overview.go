package office

import (
	"net/http"

	"scumble/web"
	"scumble/web/ui"
)

// showShop answers with the whole shop at a glance.
func (o *Office) showShop(w http.ResponseWriter, r *http.Request) error {
	p := o.page(r, ui.PageProps{Title: "The shop", Nav: "shop"})
	return web.Render(w, r, http.StatusOK, overviewPage(p))
}
