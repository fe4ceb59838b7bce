package office

import (
	"bytes"
	"errors"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"github.com/go-chi/chi/v5"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web"
	"scumble/web/ui"
)

const auditPath = "/office/audit"

// Keys of the query of the audit's page.
const (
	auditPerson = "person"
	auditKind   = "kind"
	auditBefore = "before"
)

const (
	auditLinesShown = 50
	auditLinesRead  = 1000 // at a time, for the table
)

func (o *Office) auditRoutes(r chi.Router) {
	h := o.adapter.Handle
	r.Get("/audit", h(o.showAudit))
	r.Get("/audit.csv", h(o.auditTable))
}

// auditProps is the page of who changed what.
type auditProps struct {
	Page   ui.PageProps
	Person ui.SelectProps
	Kind   ui.SelectProps
	Chosen bool // a person or a kind is
	Lines  []auditLine
	Table  string // address of the same as a table
	Older  string // addresses; "" none
	Newest string
}

// auditQuery reads what is to be shown. A value that no form of ours sends chooses
// nothing.
func auditQuery(q url.Values) restoration.AuditFilter {
	number := func(key string) int64 {
		n, _ := strconv.ParseInt(q.Get(key), 10, 64)
		return max(n, 0)
	}
	f := restoration.AuditFilter{PersonID: number(auditPerson), Before: number(auditBefore)}
	if f.Acts = restoration.AuditKind(q.Get(auditKind)).Acts(); f.Acts == nil {
		f.Acts = restoration.AuditKind("").Acts()
	}
	return f
}

func (o *Office) showAudit(w http.ResponseWriter, r *http.Request) error {
	q := r.URL.Query()
	filter := auditQuery(q)
	filter.Limit = auditLinesShown + 1 // one more tells whether there are older ones
	rows, err := o.shop.Audit(r.Context(), filter)
	if err != nil {
		return err
	}
	people, err := o.shop.People(r.Context())
	if err != nil {
		return err
	}
	p := auditProps{
		Page: o.page(r, ui.PageProps{Title: "Who changed what", Nav: "people",
			Lede: "What was changed in the office and the house, by whom and when."}),
		Person: ui.SelectProps{Name: auditPerson, Label: "Who", Value: q.Get(auditPerson), Options: personOptions(people)},
		Kind:   ui.SelectProps{Name: auditKind, Label: "What", Value: q.Get(auditKind), Options: kindOptions()},
		Chosen: q.Get(auditPerson) != "" || q.Get(auditKind) != "",
		Table:  auditAddress(auditPath+".csv", q, 0),
	}
	if len(rows) > auditLinesShown {
		rows = rows[:auditLinesShown]
		p.Older = auditAddress(auditPath, q, rows[auditLinesShown-1].ID)
	}
	if filter.Before > 0 {
		p.Newest = auditAddress(auditPath, q, 0)
	}
	words, err := o.auditWords(r)
	if err != nil {
		return err
	}
	p.Lines = auditLines(rows, words)
	return web.Render(w, r, http.StatusOK, auditPage(p))
}

// auditWords looks up what materials and tins are called.
func (o *Office) auditWords(r *http.Request) (auditWords, error) {
	v := auditWords{visit: visitOf(r), materials: map[int64]string{}, tins: map[int64]string{}}
	materials, err1 := o.shop.Materials(r.Context())
	lots, err2 := o.shop.Lots(r.Context())
	for _, m := range materials {
		v.materials[m.ID] = m.Name
	}
	for _, l := range lots {
		v.tins[l.ID] = "lot " + l.Number
	}
	return v, errors.Join(err1, err2)
}

// auditAddress is a page with the same choices, from before a line on; 0 is the newest.
func auditAddress(path string, q url.Values, before int64) string {
	kept := url.Values{}
	for _, key := range []string{auditPerson, auditKind} {
		if v := q.Get(key); v != "" {
			kept.Set(key, v)
		}
	}
	if before > 0 {
		kept.Set(auditBefore, formatID(before))
	}
	if len(kept) == 0 {
		return path
	}
	return path + "?" + kept.Encode()
}

func personOptions(people []restoration.Person) []ui.Option {
	options := []ui.Option{{Word: "Everybody"}}
	for _, p := range people {
		options = append(options, ui.Option{Value: formatID(p.ID), Word: p.Name})
	}
	return options
}

func kindOptions() []ui.Option {
	options := []ui.Option{{Word: "All but sign-ins"}}
	for _, k := range restoration.AuditKinds() {
		options = append(options, ui.Option{Value: string(k), Word: upperFirst(string(k))})
	}
	return options
}

// auditTable gives every line that is chosen as a table, the newest first.
func (o *Office) auditTable(w http.ResponseWriter, r *http.Request) error {
	filter := auditQuery(r.URL.Query())
	filter.Before, filter.Limit = 0, auditLinesRead
	v, err := o.auditWords(r)
	if err != nil {
		return err
	}
	var table bytes.Buffer
	out := trimlist.NewWriter(&table)
	out.Write("when", "who", "tablet", "did", "to_what", "work_order", "changes")
	for {
		rows, err := o.shop.Audit(r.Context(), filter)
		if err != nil {
			return err
		}
		for i, l := range auditLines(rows, v) {
			out.Write(l.At.In(v.Loc).Format(time.RFC3339), l.Who, rows[i].Device, l.Words, l.Subject, rows[i].WorkOrder, joinChanges(l.Changes))
		}
		if len(rows) < auditLinesRead {
			break
		}
		filter.Before = rows[len(rows)-1].ID
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return sendTable(w, "changes", table.Bytes())
}
