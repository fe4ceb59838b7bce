package office

import (
	"net/url"
	"regexp"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
	"scumble/web/ui"
)

// parseCar reads what the office says of a car. Its number, state and pieces are not
// in the form.
func parseCar(f *form) restoration.Car {
	c := restoration.Car{
		Name:       f.needed("name", "Type year, marque and model, such as 1936 Brennick Eight."),
		Body:       f.line("body"),
		Customer:   f.line("customer"),
		Contact:    f.line("contact"),
		Quality:    oneOf(f, "quality", qualities()),
		RateCents:  f.money("rate"),
		ArrivedOn:  f.date("arrived"),
		PromisedOn: f.date("promised"),
		ExpectFrom: f.date("expect_from"),
		ExpectTo:   f.date("expect_to"),
		Scheme:     f.line("scheme"),
		Words:      f.text("words"),
		Note:       f.text("note"),
	}
	c.Ground, c.Grain = parseScheme(f)
	if p, ok := findPair(f.get("pair")); ok && c.Scheme == "" {
		c.Scheme = p.Name
	}
	f.mustHold(c.Check())
	return c
}

// carValues fills the form so that parseCar gives c again.
func carValues(c restoration.Car) url.Values {
	v := url.Values{
		"name": {c.Name}, "body": {c.Body}, "customer": {c.Customer}, "contact": {c.Contact}, "quality": {string(c.Quality)},
		"arrived": {typedDate(c.ArrivedOn)}, "promised": {typedDate(c.PromisedOn)},
		"expect_from": {typedDate(c.ExpectFrom)}, "expect_to": {typedDate(c.ExpectTo)},
		"scheme": {c.Scheme}, "words": {c.Words}, "note": {c.Note},
		"pair": {ownColours}, "ground": {c.Ground}, "grain": {c.Grain},
	}
	if c.RateCents > 0 {
		v.Set("rate", typedMoney(c.RateCents))
	}
	for _, p := range schemePairs() {
		if p.Ground == c.Ground && p.Grain == c.Grain {
			v.Set("pair", p.Key)
		}
	}
	return v
}

func qualities() []restoration.Quality {
	return []restoration.Quality{restoration.QualityDriver, restoration.QualityShow, restoration.QualityConcours}
}

// schemePair is a named pair of colours to start from. The names are common woods,
// the colours by eye.
type schemePair struct{ Key, Name, Ground, Grain string }

// ownColours is the choice of two colours typed by hand.
const ownColours = "own"

func schemePairs() []schemePair {
	return []schemePair{
		{"walnut", "Walnut", "#9a6a3c", "#3f2413"},
		{"light-walnut", "Light walnut", "#b58554", "#5d3a1f"},
		{"mahogany", "Red mahogany", "#8f4426", "#3a150c"},
		{"oak", "Golden oak", "#c99b57", "#7d5423"},
		{"rosewood", "Rosewood", "#74382a", "#260f0b"},
		{"maple", "Honey maple", "#d3a869", "#8d5f2c"},
	}
}

func findPair(key string) (schemePair, bool) {
	for _, p := range schemePairs() {
		if p.Key == key {
			return p, true
		}
	}
	return schemePair{}, false
}

var hexColour = regexp.MustCompile(`^#[0-9a-f]{6}$`)

// parseScheme reads the two colours: a named pair wins over what is typed.
func parseScheme(f *form) (ground, grain string) {
	if p, ok := findPair(f.get("pair")); ok {
		return p.Ground, p.Grain
	}
	return parseColour(f, "ground"), parseColour(f, "grain")
}

func parseColour(f *form, name string) string {
	c := "#" + strings.TrimPrefix(strings.ToLower(strings.TrimSpace(f.get(name))), "#")
	if !hexColour.MatchString(c) {
		f.fault(name, "Write a colour as # and six characters of 0–9 and a–f, such as #9a6a3c.")
		return ""
	}
	return c
}

// bodyWord is the body style of the list chosen; "" where the list names none.
func bodyWord(f *form) string {
	if source(f.get("source")) != fromBody {
		return ""
	}
	body, _ := trimlist.FindBody(f.get("body_list"))
	return strings.ToLower(body.Name)
}

func bodyOptions() []ui.Option {
	var out []ui.Option
	for _, b := range trimlist.Bodies() {
		out = append(out, ui.Option{Value: b.Key, Word: b.Name + ", " + ui.Count(len(b.Pieces), "piece", "pieces")})
	}
	return out
}

func carOptions(cars []restoration.Car) []ui.Option {
	out := []ui.Option{{Word: "choose a car"}}
	for _, c := range cars {
		out = append(out, ui.Option{Value: c.WorkOrder, Word: c.WorkOrder + " " + c.Name})
	}
	return out
}

// today is the calendar day at an instant, as the day that a date field means.
func today(now time.Time, loc *time.Location) time.Time {
	y, m, d := now.In(loc).Date()
	return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
}

// schemeOf is how the form's colours look; what can't be a colour is drawn as walnut.
func schemeOf(f *form) ui.Scheme {
	if p, ok := findPair(f.get("pair")); ok {
		return ui.NewScheme(p.Ground, p.Grain)
	}
	return ui.NewScheme(f.get("ground"), f.get("grain"))
}

func pairSchemes() []ui.Scheme {
	var out []ui.Scheme
	for _, p := range schemePairs() {
		out = append(out, ui.NewScheme(p.Ground, p.Grain))
	}
	return out
}
