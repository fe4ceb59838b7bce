package bench

import (
	"context"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const togetherPath = "/bench/together"

// sprayHorizon is how far ahead pieces are gathered that can be sprayed together.
const sprayHorizon = 8 * time.Hour

// tabletStaysOut is shown wherever a coat is logged on many pieces.
const tabletStaysOut = "No ordinary tablet in the spray area (29 CFR 1910.107(c)). Look here before, and enter afterwards."

func (b *Bench) togetherRoutes(r chi.Router) {
	r.Get("/together", b.handle(b.showTogether))
	r.Get("/together/{batch}", b.handle(b.showBatch))
	r.Post("/together/{batch}", b.handle(b.enterBatch))
}

// togetherView lists what can be sprayed together.
type togetherView struct {
	Page    ui.PageProps
	Schemes []ui.Scheme
	Now     []batchTile
	Later   []batchTile
	Empty   *ui.EmptyProps
}

// batchTile is one group of pieces; the whole of it is the target.
type batchTile struct {
	Href           string
	Stage, Cars    string
	Material, When string
	Pieces, Amount string
	Alert          bool
	Scheme         ui.Scheme
	Look           restoration.Look
}

func (b *Bench) showTogether(w http.ResponseWriter, r *http.Request) error {
	shop, batches, err := b.batches(r.Context())
	if err != nil {
		return err
	}
	v := buildTogether(batches, shop, b.now(), visitOf(r).shop.Location())
	keys, err := b.shop.WorkKeys(r.Context())
	if err != nil {
		return err
	}
	v.Page = b.frame(r, "Together")
	v.Page.Nav, v.Page.NavItems = "together", navItems(keys, b.now(), visitOf(r).person.ID)
	v.Page.Flash, _ = b.heard(r)
	return web.Render(w, r, http.StatusOK, togetherPage(v))
}

// batches works out the groups of the whole shop.
func (b *Bench) batches(ctx context.Context) (restoration.SprayShop, []restoration.Batch, error) {
	if err := b.sorting.Acquire(ctx, 1); err != nil {
		return restoration.SprayShop{}, nil, err
	}
	defer b.sorting.Release(1)
	shop, err := b.shop.SprayKeys(ctx)
	if err != nil {
		return shop, nil, err
	}
	return shop, restoration.Batches(shop, b.now(), sprayHorizon), nil
}

func buildTogether(batches []restoration.Batch, shop restoration.SprayShop, now time.Time, loc *time.Location) togetherView {
	var v togetherView
	for _, batch := range batches {
		t := tileOfBatch(batch, shop.Units, now, loc)
		v.Schemes = append(v.Schemes, t.Scheme)
		if batch.Ready > 0 {
			v.Now = append(v.Now, t)
		} else {
			v.Later = append(v.Later, t)
		}
	}
	if len(batches) == 0 {
		v.Empty = &ui.EmptyProps{Text: "Nothing can be sprayed within hours.", Next: "Look what waits, and until when.", Href: "/bench/waiting", Link: "Waiting"}
		if len(shop.Keys) == 0 {
			v.Empty.Text = "No piece comes to a spray stage next."
		}
	}
	return v
}

func tileOfBatch(batch restoration.Batch, units restoration.Units, now time.Time, loc *time.Location) batchTile {
	t := batchTile{
		Href: togetherPath + "/" + url.PathEscape(batch.Key), Stage: batch.Stage, Cars: carsOf(batch), Look: batch.Look,
		Material: "no material chosen", Pieces: ui.Count(batch.Sprayable(), "piece", "pieces"),
		Scheme: scheme(*batch.Pieces[0].Car),
	}
	if batch.Material != nil {
		t.Material = batch.Material.Name
	}
	if batch.NeedML > 0 {
		t.Amount = restoration.VolumeWords(batch.NeedML, units)
	}
	switch {
	case batch.Sprayable() == 0:
		t.Pieces, t.When = ui.Count(batch.Shut, "piece", "pieces"), "none now"
	case batch.Ready == batch.Sprayable() && batch.Shut > 0:
		t.When = "ready now"
	case batch.Ready == batch.Sprayable():
		t.When = "all ready now"
	case batch.Ready > 0:
		t.When = fmt.Sprintf("%d now, all from %s", batch.Ready, ui.Clock(batch.From, now, loc))
	default:
		t.When = "from " + ui.Clock(batch.From, now, loc)
	}
	if says := batch.FirstWords(); says != "" {
		t.When += ", " + says
	}
	if !batch.Shuts.IsZero() && batch.Shuts.Sub(now) < 24*time.Hour {
		t.When += ", window shuts " + ui.Clock(batch.Shuts, now, loc)
		t.Alert = true
	}
	return t
}

// carsOf names the cars of a group.
func carsOf(batch restoration.Batch) string {
	var list []string
	for _, p := range batch.Pieces {
		if word := p.Car.WorkOrder + " · " + p.Car.Name; !slices.Contains(list, word) {
			list = append(list, word)
		}
	}
	if len(list) > 2 {
		return strconv.Itoa(len(list)) + " cars"
	}
	return strings.Join(list, ", ")
}

// batchView is one group, ready to be saved.
type batchView struct {
	Page     ui.PageProps
	Path     string
	Batch    string // id that the entries share
	Now      string // RFC 3339, as the page is drawn
	Errors   []ui.FieldError
	Facts    []ui.Fact
	Missing  []string
	Mixes    string
	Parts    []ui.Fact
	Pieces   []batchLine
	Coat     coatView
	Told     []string    // what the coat's questions say, without the pieces they are about
	Lapses   []ui.Notice // of the person's own trainings and fit tests
	Cautions *cautionView
	Looks    bool // the person only looks: nothing is saved before the cautions are read
	Scheme   ui.Scheme
}

// batchLine is a piece that may be taken out. Line is what saves it: the entry's id, the
// piece, the step, the coat and the amount.
type batchLine struct {
	ID, Line          string
	Title, Car, Place string
	Coat, Why         string
	Ticked            bool
}

// findBatch finds a group by its key, with what a coat on it is judged by.
func (b *Bench) findBatch(r *http.Request) (restoration.SprayShop, restoration.Batch, error) {
	shop, batches, err := b.batches(r.Context())
	if err != nil {
		return shop, restoration.Batch{}, err
	}
	key, err := url.PathUnescape(chi.URLParam(r, "batch"))
	i := slices.IndexFunc(batches, func(g restoration.Batch) bool { return err == nil && g.Key == key })
	if i < 0 {
		return shop, restoration.Batch{}, restoration.Problemf(restoration.TroubleNotFound, "", "This group is sprayed already, or can't be sprayed any more. Look at Together again.")
	}
	return shop, batches[i], nil
}

func (b *Bench) showBatch(w http.ResponseWriter, r *http.Request) error {
	return b.renderBatch(w, r, nil, nil)
}

// pickedOf works the group out for the ticked pieces: those of the form, else those that
// may be sprayed now. Where none may, the figures are for all that come.
func pickedOf(shop restoration.SprayShop, batch restoration.Batch, form url.Values, now time.Time) restoration.Batch {
	picked := map[restoration.ID]bool{}
	for _, line := range form["pieces"] {
		if in, ok := lineOf(line); ok {
			picked[in.StepID] = true
		}
	}
	if !form.Has("batch") {
		if batch.Ready == 0 {
			return batch
		}
		for _, p := range batch.Pieces {
			picked[p.StepID] = readyNow(p, now)
		}
	}
	if again, ok := restoration.BatchOf(shop, batch.Key, picked, now, sprayHorizon); ok {
		return again
	}
	return batch
}

// typedAir is the temperature that the form says, in °C; nil: none that can be.
func typedAir(form url.Values, units restoration.Units) *float64 {
	p := formParser{form: form, us: units == restoration.US}
	if air := p.temp("coat.air.air_c"); air != nil && len(p.faults) == 0 && restoration.SpraysAt(*air) {
		return air
	}
	return nil
}

func readyNow(p restoration.BatchPiece, now time.Time) bool {
	return p.First == restoration.FirstNothing && !p.From.After(now)
}

// renderBatch draws a group with what was typed. What was refused of a saved coat is said
// once: where the page asks for what it lacks, else on top.
func (b *Bench) renderBatch(w http.ResponseWriter, r *http.Request, form url.Values, faults []ui.FieldError, refused ...cause) error {
	shop, batch, err := b.findBatch(r)
	if err != nil {
		if len(faults) > 0 { // everything that could be saved is
			b.keep(r, keySaid, ui.Notice{Kind: ui.NoticeError, Text: faults[0].Text})
			return web.SeeOther(w, r, togetherPath)
		}
		return err
	}
	v := visitOf(r)
	if air := typedAir(form, v.shop.Units); air != nil {
		shop.TempC = *air
	}
	batch = pickedOf(shop, batch, form, b.now())
	air, err := b.shop.LatestAir(r.Context())
	if err != nil {
		return err
	}
	papers, err := b.shop.Certificates(r.Context())
	if err != nil {
		return err
	}
	in := batchInput{Batch: batch, Shop: shop, Air: air, Units: v.shop.Units, Now: b.now(), Loc: v.shop.Location(), NewID: newID, Papers: papers, Actor: v.actor()}
	if in.Seen, err = b.shop.CautionsSeen(r.Context(), v.person.ID, in.Now.Add(-seenToday)); err != nil {
		return err
	}
	ids := make([]restoration.ID, len(batch.Pieces))
	for i, p := range batch.Pieces {
		ids[i] = p.PieceID
	}
	if in.Films, err = b.shop.FilmScenes(r.Context(), ids); err != nil {
		return err
	}
	view := buildBatch(in, form)
	if view.Looks = view.Cautions != nil && r.URL.Query().Has("look"); view.Looks {
		view.Cautions = nil
	}
	view.askRules(in, form) // behind the cautions as well, which a script takes away
	for _, f := range faults {
		view.Errors = append(view.Errors, ui.FieldError{Text: f.Text})
	}
	for _, c := range refused {
		if !view.Coat.saidAtFigure(c.says) && !view.Coat.Why.fail(c.says, view.Told) {
			view.Errors = append(view.Errors, ui.FieldError{Text: causes{c}.words(view.ticked())[0]})
		}
	}
	view.Page = b.frame(r, batch.Stage)
	view.Page.Eyebrow, view.Page.About = carsOf(batch), ui.About{Stage: batch.Stage}
	view.Page.Back, view.Page.BackWord = togetherPath, "Together"
	if len(faults) == 0 && !form.Has(workAgain) {
		view.Page.Flash, _ = b.heard(r)
	}
	return web.Render(w, r, statusFor(faults), batchPage(view))
}
