package office

import (
	"context"
	"crypto/subtle"
	"net/http"
	"net/url"

	"scumble/internal/access"
	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// askSetup shows the page on which the first owner makes the account.
func (o *Office) askSetup(w http.ResponseWriter, r *http.Request) error {
	if err := o.setupOpen(r.Context()); err != nil {
		return err
	}
	return o.showSetup(w, r, http.StatusOK, &form{values: url.Values{}})
}

func (o *Office) showSetup(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	f.values.Del("password")
	return web.Render(w, r, status, setupPage(ui.PageProps{
		Title: "Set up the shop",
		Lede:  "Make the owner's account. Everything else is set from there.",
		Demo:  o.demo,
	}, f))
}

// setupOpen refuses once there is an owner.
func (o *Office) setupOpen(ctx context.Context) error {
	exists, err := o.shop.OwnerExists(ctx)
	if err == nil && exists {
		return restoration.Problemf(restoration.TroubleNotFound, "", "The shop is set up already: sign in as its owner.")
	}
	return err
}

func (o *Office) setUp(w http.ResponseWriter, r *http.Request) error {
	if err := o.setupOpen(r.Context()); err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	name, password := o.parseSetup(f)
	if !f.ok() {
		return o.showSetup(w, r, http.StatusUnprocessableEntity, f)
	}
	hash, err := access.HashSecret(password)
	if err != nil {
		return err
	}
	owner, err := o.shop.CreateOwner(r.Context(), name, hash)
	if err != nil {
		return err
	}
	o.done(r, "The shop is set up. Next: its name, time zone and working hours on the page Settings, then people and tablets.")
	return o.letIn(w, r, owner, "/office")
}

func (o *Office) parseSetup(f *form) (name, password string) {
	if !o.isSetupCode(f.get("code")) {
		f.fault("code", "That is not the code. It stands in the window in which the program was started; a new start prints a new one.")
	}
	name = f.needed("name", "Type your name.")
	password = f.get("password")
	f.refuse("password", access.CheckPassword(password))
	return name, password
}

func (o *Office) isSetupCode(typed string) bool {
	return o.setup != "" && subtle.ConstantTimeCompare(access.HashCode(typed), access.HashCode(o.setup)) == 1
}
