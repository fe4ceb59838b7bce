package ui

import (
	"maps"
	"net/url"
	"slices"
	"strconv"
	"time"

	"github.com/a-h/templ"
)

// FollowTheSheets ends every caution.
const FollowTheSheets = "Follow the product's data sheets, local code and licensed practice."

// EmptyProps is what stands where nothing is yet.
type EmptyProps struct {
	Text string // says that there is none
	Next string // says what to do first
	Href string // where that is done; "" for none
	Link string
}

// Fact is one line of a definition list. Body, when set, stands in place of Text.
type Fact struct {
	Term, Text string
	Body       templ.Component
}

// SortHeaderProps is one sortable column head.
type SortHeaderProps struct {
	Word    string
	Key     string   // the column's name in the address
	Address *url.URL // of the page, with its present query; the rest of it is kept
	Numeric bool     // aligned right
}

// The names under which a table keeps its order in the address. A leading minus
// in sort turns the order round.
const (
	SortParam = "sort"
	PageParam = "page"
)

// PagerProps is the links below a long list.
type PagerProps struct {
	Address *url.URL
	Page    int // from 1
	Pages   int
}

// UndoProps is the way back from something just done.
type UndoProps struct {
	Action string // address that the form posts to
	Text   string // what was done
	Until  string // until when it may be undone: "14:40"
	Fields map[string]string
}

// moment is an instant for the eye and for machines.
type moment struct{ Machine, Words, Span string }

func newMoment(t, now time.Time, loc *time.Location) moment {
	return moment{Machine: t.UTC().Format(time.RFC3339), Words: When(t, loc), Span: Span(t, now)}
}

// sorted says how the column stands now: "ascending", "descending" or "none".
func (h SortHeaderProps) sorted() string {
	switch h.query().Get(SortParam) {
	case h.Key:
		return "ascending"
	case "-" + h.Key:
		return "descending"
	}
	return "none"
}

// href sorts by the column, or turns its order round; everything else in the
// address stays, but the list begins at its first page again.
func (h SortHeaderProps) href() string {
	q := h.query()
	if q.Get(SortParam) == h.Key {
		q.Set(SortParam, "-"+h.Key)
	} else {
		q.Set(SortParam, h.Key)
	}
	q.Del(PageParam)
	return address(h.Address, q)
}

func (h SortHeaderProps) query() url.Values {
	if h.Address == nil {
		return url.Values{}
	}
	return h.Address.Query()
}

func (p PagerProps) href(page int) string {
	q := url.Values{}
	if p.Address != nil {
		q = p.Address.Query()
	}
	q.Set(PageParam, strconv.Itoa(page))
	return address(p.Address, q)
}

func address(u *url.URL, q url.Values) string {
	path := ""
	if u != nil {
		path = u.Path
	}
	return path + "?" + q.Encode()
}

func (n Notice) kind() string {
	switch n.Kind {
	case "":
		return string(NoticeInfo)
	case NoticeWarned:
		return string(NoticeCaution)
	}
	return string(n.Kind)
}

// lead is the word of the kind as it stands before the text.
func (n Notice) lead() string {
	if n.Kind == NoticeWarned {
		return n.Kind.Word() + ":"
	}
	return n.Kind.Word() + "."
}

// role interrupts a screen reader only for what went wrong.
func (n Notice) role() string {
	if n.Kind == NoticeError {
		return "alert"
	}
	return "status"
}

type hiddenField struct{ Name, Value string }

// fields in the order of their names, so that a page renders the same twice.
func (u UndoProps) fields() []hiddenField {
	var list []hiddenField
	for _, name := range slices.Sorted(maps.Keys(u.Fields)) {
		list = append(list, hiddenField{Name: name, Value: u.Fields[name]})
	}
	return list
}
