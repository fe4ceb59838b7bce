package office

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

// workRows is how many pieces a page of open work shows.
const workRows = 100

// workPage is the pieces that make up one of the shop's totals.
type workPage struct {
	Page  ui.PageProps
	Here  string
	Now   []ui.Option
	Value string
	Rows  []workRow
	Count int
	Left  restoration.Minutes
	Says  string // what the hours left lie on
	Part  *partColumn
	Pager ui.PagerProps
}

// workRow is one piece with its car.
type workRow struct {
	pieceRow
	Car, CarHref string
}

// showWork opens a total of the shop into its pieces.
func (o *Office) showWork(w http.ResponseWriter, r *http.Request) error {
	work, err := o.shop.OpenWork(r.Context())
	if err != nil {
		return err
	}
	p := newWorkPage(work, visitOf(r), o.page(r, ui.PageProps{Title: "Open work", Nav: "shop"}), r.URL)
	return web.Render(w, r, http.StatusOK, workView(p))
}

func newWorkPage(work []restoration.Work, v visit, page ui.PageProps, address *url.URL) workPage {
	q := address.Query()
	filter := nowFilter(q)
	p := workPage{Page: page, Here: address.RequestURI(), Now: filter.Options, Value: filter.Value}
	var rows []workRow
	for _, w := range work {
		view := pieceView{Car: w.Car, Routes: map[int64]restoration.Route{}, Now: v.Now, Loc: v.Loc}
		row := workRow{pieceRow: view.row(w.Piece), Car: w.Car.WorkOrder, CarHref: carPath(w.Car.WorkOrder)}
		row.fill(w)
		if row.stands(filter.Value) {
			rows = append(rows, row)
			p.Left += row.Left
		}
	}
	p.Count = len(rows)
	p.Says = workWords(filter.Value, p.Count)
	p.Part = newPartColumn(pieceRows(rows), url.Values{filterNow: {filter.Value}})
	pages := (len(rows) + workRows - 1) / workRows
	at, _ := strconv.Atoi(q.Get(ui.PageParam)) // what is no number is the first page
	at = min(max(at, 1), max(pages, 1))
	p.Rows = rows[min((at-1)*workRows, len(rows)):min(at*workRows, len(rows))]
	p.Pager = ui.PagerProps{Address: address, Page: at, Pages: pages}
	return p
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

func pieceRows(rows []workRow) []pieceRow {
	out := make([]pieceRow, len(rows))
	for i, row := range rows {
		out[i] = row.pieceRow
	}
	return out
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
