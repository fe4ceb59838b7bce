package office

import (
	"net/http"
	"net/url"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const filmSettingsPath = "/office/settings/film"

// filmSetting is one of the shop's figures for the film. Its name is that under which
// the rules speak of it.
type filmSetting struct {
	Name, Label string
	Unit        unit
	Means       string
	Mark        string // where the figure that ships comes from
	of          func(*restoration.FilmSettings) *float64
}

const commonMark = "common practice, no source"

// filmSettings lists the figures, those of the film in the shop's unit.
func filmSettings(u units) []filmSetting {
	type f = restoration.FilmSettings
	return []filmSetting{
		{"edge_factor", "Edge factor", plain, "Share of the flat's clear that edges and beads hold. 1 judges the flat alone and leaves edges to tape; bare edges hold 0.3 to 0.6.",
			commonMark, func(s *f) *float64 { return &s.EdgeFactor }},
		{"warn_um", "Warn above the floor", u.film, "When less than this may still go, the bench and the office warn.", commonMark, func(s *f) *float64 { return &s.WarnUM }},
		{"session_um", "Most clear in a session", u.film, "Dry film of one visit to the booth; more traps solvent.", "a paint maker's bulletin: 3 mil", func(s *f) *float64 { return &s.SessionUM }},
		{"transfer", "Share that lands", plain, "Of what leaves the gun. 0.30 is a gravity gun on small pieces; large flats take more.", commonMark, func(s *f) *float64 { return &s.Transfer }},
		{"waste", "Mixed beyond the need", plain, "As a share: 0.10 mixes a tenth more.", commonMark, func(s *f) *float64 { return &s.Waste }},
		{"fixed_ml", "Lost at every mix", u.volume, "In cup, gun and strainer.", commonMark, func(s *f) *float64 { return &s.FixedML }},
		{"set_delta_e", "Colour within a set", unit{"ΔE", 2, same, same}, "The most that two pieces of a set may differ, CIEDE2000. Side by side at a joint even 0.5 may show.",
			commonMark, func(s *f) *float64 { return &s.SetDeltaE }},
		{"own_delta_e", "Colour to the scheme", unit{"ΔE", 2, same, same}, "The most that a ground may lie from the scheme's.", commonMark, func(s *f) *float64 { return &s.OwnDeltaE }},
		{"gloss_gu", "Gloss, either way", unit{"GU", 1, same, same}, "From the gloss that is agreed, at its angle (ISO 2813, ASTM D523).", commonMark, func(s *f) *float64 { return &s.GlossGU }},
		{"grit_ratio", "From paper to paper", plain, "The grain may fall to 1 over this from one paper to the next before scratches stay.", commonMark, func(s *f) *float64 { return &s.GritRatio }},
		{"per_10_c", "Waits per " + u.tenC, plain, "Colder than the data sheet states, waits grow this many times per " + u.tenC + "; warmer, they shrink. The page says that they are estimated.",
			"Paints and Coatings Resource Center, 2009, for 2K polyurethane; elsewhere " + commonMark, func(s *f) *float64 { return &s.Per10C }},
	}
}

// filmSettingsProps is the page of the figures.
type filmSettingsProps struct {
	Page   ui.PageProps
	Form   *form
	Fields []filmSetting
}

func (o *Office) showFilmSettings(w http.ResponseWriter, r *http.Request) error {
	s := visitOf(r).Settings
	return o.renderFilmSettings(w, r, http.StatusOK, &form{values: filmSettingValues(s.Film, unitsOf(s.Units))})
}

func (o *Office) renderFilmSettings(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	return web.Render(w, r, status, filmSettingsPage(filmSettingsProps{
		Page: o.page(r, ui.PageProps{Title: "Film settings", Nav: "settings",
			Lede: "By these figures the film is judged, where no scheme and no data sheet says otherwise. A shop's own record beats what ships."}),
		Form: f, Fields: filmSettings(unitsOf(visitOf(r).Settings.Units)),
	}))
}

func (o *Office) saveFilmSettings(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	s := visitOf(r).Settings
	s.Film = parseFilmSettings(f, s.Film, unitsOf(s.Units))
	f.mustHold(s.Check())
	if f.ok() {
		if err := f.take(o.shop.SaveSettings(r.Context(), visitOf(r).Actor(), s)); err != nil {
			return err
		}
	}
	if !f.ok() {
		return o.renderFilmSettings(w, r, http.StatusUnprocessableEntity, f)
	}
	o.done(r, "The film settings are saved.")
	return web.SeeOther(w, r, filmSettingsPath)
}

// parseFilmSettings reads the form; before is what stood, and stays where a figure is as
// it was shown.
func parseFilmSettings(f *form, before restoration.FilmSettings, u units) restoration.FilmSettings {
	s := before
	for _, field := range filmSettings(u) {
		if blank(f.get(field.Name)) {
			f.fault(field.Name, "Type a figure. What ships is %s.", field.Unit.says(*field.of(new(restoration.StockFilm()))))
			continue
		}
		if v := f.figure(field.Name, field.Unit, *field.of(&before)); f.error(field.Name) == "" {
			*field.of(&s) = v
		}
	}
	return s
}

// filmSettingValues fills the form so that parseFilmSettings gives s again.
func filmSettingValues(s restoration.FilmSettings, u units) url.Values {
	v := url.Values{}
	for _, field := range filmSettings(u) {
		v.Set(field.Name, field.Unit.typed(*field.of(&s)))
	}
	return v
}
