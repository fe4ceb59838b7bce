package office

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// workRows is how many pieces a page of open work shows.
const workRows = 100

// filterCar is the key under which the address keeps the car whose work is shown.
const filterCar = "car"

// workPage is the pieces that make up one of the shop's totals, a page at a time.
type workPage struct {
	Page     ui.PageProps
	Here     string
	Address  *url.URL
	Filters  []ui.SelectProps
	Filtered bool
	Sort     string // kept through a change of filter
	Rows     []workRow
	Part     restoration.WorkPart // of it only the sums
	Says     string               // what the hours left lie on
	Free     string               // of these, what can be begun at once; "" where that says nothing
	Rework   bool                 // the rework of each piece has a column
	Pager    ui.PagerProps
}

// workRow is one piece with its car.
type workRow struct {
	pieceRow
	Car, CarName, CarHref string
}

// showWork opens a total of the shop into its pieces.
func (o *Office) showWork(w http.ResponseWriter, r *http.Request) error {
	ctx, q := r.Context(), r.URL.Query()
	f := workFilter(q)
	part, err := o.shop.ListWork(ctx, f)
	if err != nil {
		return err
	}
	if f.Offset > 0 && len(part.Work) == 0 { // the page is gone: work was done meanwhile
		f.Offset = (workPages(part.Pieces) - 1) * workRows
		if part, err = o.shop.ListWork(ctx, f); err != nil {
			return err
		}
	}
	cars, err := o.shop.ListCars(ctx)
	if err != nil {
		return err
	}
	people, err := o.shop.People(ctx)
	if err != nil {
		return err
	}
	p := newWorkPage(part, f, visitOf(r), o.page(r, ui.PageProps{Title: "Open work", Nav: "shop"}), r.URL)
	p.Filters = workFilters(q, cars, people)
	p.Filtered = slices.ContainsFunc(p.Filters, func(s ui.SelectProps) bool { return s.Value != "" })
	return web.Render(w, r, http.StatusOK, workView(p))
}

// workFilter reads the address; what it can't read chooses nothing away.
func workFilter(q url.Values) restoration.WorkFilter {
	f := restoration.WorkFilter{Limit: workRows}
	switch q.Get(filterNow) {
	case nowWorkable:
		f.Footing = restoration.FootWorkable
	case nowWaiting:
		f.Footing = restoration.FootWaiting
	case nowHeld:
		f.Footing = restoration.FootHeld
	case nowInHand:
		f.InHand = true
	case nowRework:
		f.Rework = true
	}
	f.CarID, _ = strconv.ParseInt(q.Get(filterCar), 10, 64)
	f.PersonID, _ = strconv.ParseInt(q.Get(filterPerson), 10, 64)
	column, falling := strings.CutPrefix(q.Get(ui.SortParam), "-")
	f.By, f.Falling = restoration.WorkSort(column), falling
	page, _ := strconv.ParseInt(q.Get(ui.PageParam), 10, 32)
	f.Offset = int(max(page-1, 0)) * workRows
	return f
}

// workPages is how many pages so many pieces fill; never none.
func workPages(pieces int) int { return max((pieces+workRows-1)/workRows, 1) }

// workFilters offer what can be chosen: footings, cars in the shop, people.
func workFilters(q url.Values, cars []restoration.Car, people []restoration.Person) []ui.SelectProps {
	now := nowFilter(q)
	now.Options = slices.DeleteFunc(now.Options, func(o ui.Option) bool { return o.Value == nowFinished })
	car, hand := choices{first: "every car"}, choices{first: "anybody"}
	for _, c := range cars {
		if c.State != restoration.CarDelivered {
			car.add(formatID(c.ID), joinWords(c.WorkOrder, c.Name))
		}
	}
	for _, p := range people {
		if p.LeftAt.IsZero() {
			hand.add(formatID(p.ID), p.Name)
		}
	}
	return []ui.SelectProps{now, car.selectOf(filterCar, "Car", q), hand.selectOf(filterPerson, "In hand of", q)}
}

func newWorkPage(part restoration.WorkPart, f restoration.WorkFilter, v visit, page ui.PageProps, address *url.URL) workPage {
	p := workPage{
		Page: page, Here: address.RequestURI(), Address: address, Sort: address.Query().Get(ui.SortParam), Part: part, Rework: f.Rework,
		Says:  workWords(address.Query().Get(filterNow), part.Pieces),
		Pager: ui.PagerProps{Address: address, Page: f.Offset/workRows + 1, Pages: workPages(part.Pieces)},
	}
	if f.Footing == restoration.FootWorkable && part.Pieces > 0 {
		p.Free = freeWords(part.NextLeft)
	}
	for _, w := range part.Work {
		view := pieceView{Car: w.Car, Routes: map[int64]restoration.Route{}, Now: v.Now, Loc: v.Loc}
		row := workRow{pieceRow: view.row(w.Piece), Car: w.Car.WorkOrder, CarName: w.Car.Name, CarHref: carPath(w.Car.WorkOrder)}
		row.fill(w)
		p.Rows = append(p.Rows, row)
	}
	return p
}

// freeWords tell of the hours on workable pieces which can be worked before anything
// else must be done.
func freeWords(free restoration.Minutes) string {
	return hoursOf(free) + " of it on steps that are free right now"
}

// workWords says what the hours left lie on.
func workWords(now string, count int) string {
	pieces := ui.Count(count, "piece", "pieces")
	words := map[string]string{nowWorkable: "on %s that can be worked now", nowWaiting: "on %s that wait for paint", nowHeld: "on %s on hold",
		nowInHand: "on %s in hand", nowRework: "on %s with rework"}
	if words[now] == "" {
		return "on " + pieces
	}
	return fmt.Sprintf(words[now], pieces)
}

// fill takes from the work what a piece without its steps does not say.
func (row *workRow) fill(w restoration.Work) {
	row.Next, row.NextLook = w.Stage.Name, w.Stage.Look
	row.Planned, row.Logged, row.Rework = w.Planned.Likely, w.Logged, w.ReworkLeft
	if w.HandBy != 0 {
		row.Who, row.PersonID = w.HandName, w.HandBy
		if row.Now == nowWorkable {
			row.Now, row.Words = nowInHand, "in hand"
		}
	}
}
