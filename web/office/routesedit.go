package office

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// routeProps is the editor of one route.
type routeProps struct {
	Page    ui.PageProps
	Form    *form
	Action  string
	Stages  []stageForm
	Version int  // 0: new
	Current bool // may be changed
	Retire  string
}

// stageForm is one stage in the editor.
type stageForm struct {
	Index   int
	Prefix  string // of its fields
	Key     string
	Title   string
	Brief   string // what stands beside the title while the stage is folded
	Look    restoration.Look
	Shipped []string // cautions that may be added to, never taken away
	Open    bool     // unfolded: new, or something is wrong with it
	Last    bool
	Room    string // the temperatures that waits are stated for
}

func (o *Office) showNewRoute(w http.ResponseWriter, r *http.Request) error {
	f := &form{values: url.Values{"count": {"1"}}}
	f.setStages([]url.Values{newStageValues()})
	return o.renderRoute(w, r, http.StatusOK, restoration.Route{}, f)
}

func (o *Office) showRoute(w http.ResponseWriter, r *http.Request) error {
	route, err := o.routeIn(r)
	if err != nil {
		return err
	}
	return o.renderRoute(w, r, http.StatusOK, route, &form{values: routeValues(route)})
}

// routeIn finds the route of the address; the zero Route for a new one.
func (o *Office) routeIn(r *http.Request) (restoration.Route, error) {
	if chi.URLParam(r, "id") == "" {
		return restoration.Route{}, nil
	}
	id, err := numberIn(r, "id")
	if err != nil {
		return restoration.Route{}, err
	}
	return o.shop.FindRoute(r.Context(), id)
}

func (o *Office) renderRoute(w http.ResponseWriter, r *http.Request, status int, route restoration.Route, f *form) error {
	p := routeProps{Form: f, Action: routesPath + "/new", Stages: stageForms(f, visitOf(r).Settings.Units), Version: route.Version, Current: true}
	page := ui.PageProps{Title: "New route", Nav: "routes"}
	if route.ID != 0 {
		current, err := o.shop.Routes(r.Context())
		if err != nil {
			return err
		}
		p.Current = slices.ContainsFunc(current, func(c restoration.Route) bool { return c.ID == route.ID })
		p.Action, p.Retire = routePath(route.ID), routePath(route.ID)+"/retire"
		page.Title, page.Eyebrow = route.Name, "Route, version "+strconv.Itoa(route.Version)
	}
	p.Page = o.page(r, page)
	return web.Render(w, r, status, routePage(p))
}

// saveRoute keeps a route, or changes the form where a button asks for a stage to be
// added, taken out or moved: nothing is kept then, and nothing typed is lost.
func (o *Office) saveRoute(w http.ResponseWriter, r *http.Request) error {
	before, err := o.routeIn(r)
	if err != nil {
		return err
	}
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	if f.arrange(f.get("act")) {
		return o.renderRoute(w, r, http.StatusOK, before, f)
	}
	route := parseRoute(f, before)
	if !f.ok() {
		return o.renderRoute(w, r, http.StatusUnprocessableEntity, before, f)
	}
	saved, err := o.shop.SaveRoute(r.Context(), visitOf(r).Actor(), route)
	if err != nil {
		if err := f.take(err); err != nil {
			return err
		}
		return o.renderRoute(w, r, http.StatusUnprocessableEntity, before, f)
	}
	o.done(r, savedRoute(before, saved))
	return web.SeeOther(w, r, routePath(saved.ID))
}

func savedRoute(before, saved restoration.Route) string {
	switch {
	case before.ID == 0:
		return saved.Name + " is there: new pieces may take it."
	case saved.Version > before.Version:
		return "Saved as version " + strconv.Itoa(saved.Version) + ". Pieces that were started before keep version " + strconv.Itoa(before.Version) + "."
	}
	return "The route is saved."
}

// arrange does what a button of a stage asks for; false when act is none of them.
func (f *form) arrange(act string) bool {
	verb, at, _ := strings.Cut(act, ".")
	i, _ := strconv.Atoi(at) // 0 for "add", which doesn't look at it
	stages := f.stages()
	switch verb {
	case "add":
		stages = append(stages, newStageValues())
	case "remove":
		if i < 0 || i >= len(stages) {
			return false
		}
		stages = slices.Delete(stages, i, i+1)
	case "up":
		stages = moved(stages, i, -1)
	case "down":
		stages = moved(stages, i, 1)
	default:
		return false
	}
	f.setStages(stages)
	return true
}

// stageForms lays out the stages that the form holds.
func stageForms(f *form, units restoration.Units) []stageForm {
	n := len(f.stages())
	out := make([]stageForm, n)
	for i := range out {
		prefix := stagePrefix(i)
		out[i] = stageForm{
			Index: i, Prefix: prefix, Key: f.get(prefix + "key"), Title: f.get(prefix + "name"), Brief: stageBrief(f, prefix),
			Look: restoration.Look(f.get(prefix + "look")), Shipped: shippedCautions(f, prefix), Last: i == n-1, Room: restoration.RoomWords(units),
		}
		out[i].Open = out[i].Title == "" || slices.ContainsFunc(f.faults, func(e ui.FieldError) bool {
			return strings.HasPrefix(e.Name, prefix)
		})
		if out[i].Title == "" {
			out[i].Title = "New stage"
		}
	}
	return out
}

// stageBrief says the most important of a stage, as it was typed.
func stageBrief(f *form, prefix string) string {
	var parts []string
	if h := f.get(likelyField(prefix + "medium")); !blank(h) && !f.ticked(prefix+"repair") {
		parts = append(parts, h+" h on a medium piece")
	}
	if f.ticked(prefix + "repair") {
		parts = append(parts, "only where there is a fault")
	}
	if f.ticked(prefix + "booth") {
		parts = append(parts, "booth")
	}
	return strings.Join(parts, ", ")
}

func needOptions() []ui.Option {
	return []ui.Option{
		{Value: string(restoration.NeedNothing), Word: "starting at once"},
		{Value: string(restoration.NeedRecoat), Word: "coating what is there"},
		{Value: string(restoration.NeedSand), Word: "sanding it"},
		{Value: string(restoration.NeedPolish), Word: "polishing it"},
		{Value: string(restoration.NeedFit), Word: "fitting it to the car"},
	}
}

func cautionHint(s stageForm) string {
	if len(s.Shipped) > 0 {
		return "One a line. Those above ship with the stage and stay."
	}
	return "One a line."
}

// namedField is a field and its word in a table of inputs.
type namedField struct{ Name, Text string }

// estimatePoints are the fields of an estimate.
func estimatePoints(name string) []namedField {
	return []namedField{{Name: name, Text: points[0]}, {Name: likelyField(name), Text: points[1]}, {Name: highField(name), Text: points[2]}}
}

// waitFields are the fields of a stage's waits.
func waitFields(prefix string) []namedField {
	return []namedField{
		{Name: prefix + "after.recoat_min", Text: "to recoat"},
		{Name: prefix + "after.max_recoat_min", Text: "until the recoat window shuts"},
		{Name: prefix + "after.sand_min", Text: "to sand"},
		{Name: prefix + "after.polish_min", Text: "to polish"},
		{Name: prefix + "after.fit_min", Text: "to fit"},
	}
}

// shippedCautions are those that the stage shows whatever the form says.
func shippedCautions(f *form, prefix string) []string {
	return restoration.ShippedCautions(restoration.Stage{Key: f.get(prefix + "key"), Look: restoration.Look(f.get(prefix + "look")),
		Booth: f.ticked(prefix + "booth")})
}
