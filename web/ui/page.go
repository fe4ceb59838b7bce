package ui

import (
	"strings"

	"github.com/a-h/templ"

	"scumble/static"
)

// PageProps is what a shell needs around a page.
type PageProps struct {
	Title   string // the page's only h1
	Tab     string // document title; "" means Title. The customer's page sets it so that no name leaks
	Eyebrow string // small line above the h1, e.g. "Work order 26-014 · saloon"
	Lede    string // sentence under the h1

	Nav      string    // key of the active entry: "shop", "new", "paint", "places", "records", "people", "routes", "settings"; bench: "ready", "waiting", "hand"
	NavItems []NavItem // nil takes the audience's own list
	Back     string    // bench: address of the page one step up; "" on the top pages
	BackWord string    // "" means "Back"

	ShopName string
	Person   string // signed-in name; "" shows neither sign out nor the nav
	PersonID string // bench: what is kept on the tablet is sent only under the person who entered it
	Pass     string // bench: sends it after they have signed out; "" before
	Query    string // what was searched for

	About About // bench: what an entry made on the page is about
	Flash *Notice
	Timer *TimerProps // bench: the person's own clock; nil: none
	Alone bool        // bench: what is asked comes before everything else, so nothing leads away but Next person
	Live  bool        // office: listen for changes and refetch
	Demo  bool        // says on every page that the shop is invented
}

// About names a piece, its car's work order and its stage, each "" where the page says
// none. The tablet keeps it with what is entered there, so that a refused entry still says
// what it was about.
type About struct{ Title, Car, Stage string }

// Data gives the attributes that the tablet's script reads.
func (a About) Data() templ.Attributes {
	data := templ.Attributes{}
	for name, text := range map[string]string{"data-title": a.Title, "data-car": a.Car, "data-stage": a.Stage} {
		if text != "" {
			data[name] = text
		}
	}
	return data
}

// NavItem is one entry of a shell's navigation.
type NavItem struct{ Key, Word, Href string }

// Addresses that the shells link to.
const (
	OfficeSearchPath  = "/office/search"
	OfficeLivePath    = "/office/live"
	OfficeSignOutPath = "/office/signout"
	BenchFindPath     = "/bench/find"
	BenchScanPath     = "/bench/scan"
	BenchSignOutPath  = "/bench/signout"
	BenchHoursPath    = "/bench/hours"
	BenchManifestPath = "/bench/app.webmanifest"
	BenchNotTakenPath = "/bench/nottaken"
)

// benchThen lists the scripts that a bench page fetches once it is drawn, in their order.
func benchThen() string {
	list := []string{"vendor/idb.umd.js", "js/record.js", "js/outbox.js", "js/unsent.js", "js/clocks.js", "js/pages.js", "js/cautions.js"}
	for i, name := range list {
		list[i] = static.URL(name)
	}
	return strings.Join(list, " ")
}

// OfficeNav is the office's navigation.
func OfficeNav() []NavItem {
	return []NavItem{
		{"shop", "The shop", "/office"},
		{"new", "New car", "/office/cars/new"},
		{"paint", "Paint", "/office/batches"},
		{"places", "Places", "/office/places"},
		{"records", "Records", "/office/records"},
		{"people", "People and tablets", "/office/people"},
		{"routes", "Routes", "/office/routes"},
		{"settings", "Settings", "/office/settings"},
	}
}

// BenchNav is the tablet's navigation: one level, never deeper.
func BenchNav() []NavItem {
	return []NavItem{
		{"ready", "Ready now", "/bench"},
		{"waiting", "Waiting", "/bench/waiting"},
		{"hand", "In hand", "/bench/hand"},
	}
}

// NoticeKind says how a notice is meant. It has a word, never only a colour.
type NoticeKind string

// The kinds of notice.
const (
	NoticeInfo    NoticeKind = "info"
	NoticeDone    NoticeKind = "done"
	NoticeCaution NoticeKind = "caution"
	NoticeWarned  NoticeKind = "warned" // saved, and something speaks against it
	NoticeError   NoticeKind = "error"
	NoticeOffline NoticeKind = "offline"
)

// Notice is one message to the person on the page.
type Notice struct {
	Kind NoticeKind
	Text string
	Href string // where to go next; "" for none
	Link string // words of that link
	At   string // id of the part of the page it is about; "" stands at the top
}

// Word names the kind for people who don't see the colour.
func (k NoticeKind) Word() string {
	switch k {
	case NoticeDone:
		return "Saved"
	case NoticeCaution:
		return "Caution"
	case NoticeWarned:
		return "Saved, with a caution"
	case NoticeError:
		return "Not done"
	case NoticeOffline:
		return "Offline"
	default:
		return "Note"
	}
}

func (p PageProps) tab() string {
	name := p.Tab
	if name == "" {
		name = p.Title
	}
	if p.Tab != "" || p.ShopName == "" || name == p.ShopName {
		return name
	}
	return name + " · " + p.ShopName
}

func (p PageProps) nav(own []NavItem) []NavItem {
	if p.NavItems != nil {
		return p.NavItems
	}
	return own
}

func (p PageProps) backWord() string {
	if p.BackWord == "" {
		return "Back"
	}
	return p.BackWord
}

// htmxConfig keeps htmx inside the content security policy: no style element
// put into the page, nothing evaluated, no script from a fragment.
const htmxConfig = `{"includeIndicatorStyles":false,"allowEval":false,"allowScriptTags":false,"selfRequestsOnly":true,"historyCacheSize":0}`

func (p PageProps) shop() string {
	if p.ShopName == "" {
		return "Scumble"
	}
	return p.ShopName
}
