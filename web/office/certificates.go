package office

import (
	"cmp"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"scumble/internal/restoration"
	"scumble/web"
	"scumble/web/ui"
)

const certificatesPath = "/office/certificates"

// certificatesPage is who was trained and tested, and until when.
type certificatesPage struct {
	Page   ui.PageProps
	Form   *form
	Lines  []certificateLine
	People []ui.Option
	Kinds  []restoration.CertificateKind
}

// certificateLine is a certificate as the page shows it.
type certificateLine struct {
	restoration.Certificate
	State string // "valid", "due in 12 days", "ran out 3 days ago"
	Late  bool
	Done  string
	Until string
}

func (o *Office) showCertificates(w http.ResponseWriter, r *http.Request) error {
	return o.renderCertificates(w, r, http.StatusOK, &form{values: url.Values{}})
}

func (o *Office) renderCertificates(w http.ResponseWriter, r *http.Request, status int, f *form) error {
	list, err := o.shop.Certificates(r.Context())
	if err != nil {
		return err
	}
	people, err := o.shop.People(r.Context())
	if err != nil {
		return err
	}
	v := visitOf(r)
	p := certificatesPage{
		Page: o.page(r, ui.PageProps{Title: "Training and fit tests", Nav: navRecords,
			Lede: "What each person must renew. What is due within 60 days or has run out stands in what needs a look."}),
		Form: f, Kinds: restoration.CertificateKinds(), People: []ui.Option{{Word: "choose a person"}},
	}
	for _, person := range people {
		if person.LeftAt.IsZero() {
			p.People = append(p.People, ui.Option{Value: formatID(person.ID), Word: person.Name})
		}
	}
	for _, c := range list {
		p.Lines = append(p.Lines, newCertificateLine(c, today(v.Now, v.Loc)))
	}
	return web.Render(w, r, status, certificatesView(p))
}

func newCertificateLine(c restoration.Certificate, day time.Time) certificateLine {
	line := certificateLine{Certificate: c, State: "valid", Done: dayWords(c.DoneOn), Until: "does not run out"}
	if !c.ValidUntil.IsZero() {
		line.Until = dayWords(c.ValidUntil)
	}
	switch c.State(day) {
	case restoration.CertificateDue:
		line.State = "runs out " + ui.Span(c.ValidUntil.AddDate(0, 0, 1), day)
	case restoration.CertificateRunOut:
		line.State, line.Late = "ran out", true
	}
	return line
}

func dayWords(d time.Time) string { return ui.Day(d, time.UTC) }

func (o *Office) addCertificate(w http.ResponseWriter, r *http.Request) error {
	f, err := readForm(w, r)
	if err != nil {
		return err
	}
	c := parseCertificate(f)
	if f.ok() {
		saved, err := o.shop.AddCertificate(r.Context(), visitOf(r).Actor(), c)
		if err := f.take(err); err != nil {
			return err
		}
		c = saved
	}
	if !f.ok() {
		return o.renderCertificates(w, r, http.StatusUnprocessableEntity, f)
	}
	o.done(r, c.Kind+" is entered.")
	return web.SeeOther(w, r, certificatesPath)
}

// parseCertificate reads the form. An empty end is what is usual for the kind; one that
// never runs out says so.
func parseCertificate(f *form) restoration.Certificate {
	c := restoration.Certificate{PersonID: f.whole("person"), Kind: f.line("kind"), DoneOn: f.date("done"), ValidUntil: f.date("until"), Note: f.text("note")}
	if c.PersonID == 0 {
		f.fault("person", "Choose whose it is.")
	}
	if blank(f.get("until")) && !f.ticked("lasting") {
		i := slices.IndexFunc(restoration.CertificateKinds(), func(k restoration.CertificateKind) bool { return strings.EqualFold(k.Name, c.Kind) })
		if i >= 0 && !c.DoneOn.IsZero() {
			c.ValidUntil = restoration.CertificateKinds()[i].Until(c.DoneOn)
		} else if c.Kind != "" {
			f.fault("until", "Say until when it is good, or that it does not run out.")
		}
	}
	f.mustHold(c.Check())
	return c
}

func (o *Office) dropCertificate(w http.ResponseWriter, r *http.Request) error {
	id, err := numberIn(r, "id")
	if err != nil {
		return err
	}
	if err := o.shop.DropCertificate(r.Context(), visitOf(r).Actor(), id); err != nil {
		return err
	}
	o.done(r, "It is off the list. Who changed what still tells of it.")
	return web.SeeOther(w, r, certificatesPath)
}

// certificateItems are those that are due or have run out, the oldest first; of each
// person and kind only the one that lasts longest counts.
func (d shopData) certificateItems() []lookItem {
	day := today(d.Now, d.Loc)
	due := slices.DeleteFunc(restoration.LastingCertificates(d.Certificates), func(c restoration.Certificate) bool {
		return c.State(day) == restoration.CertificateValid
	})
	slices.SortFunc(due, func(a, b restoration.Certificate) int {
		return cmp.Or(a.ValidUntil.Compare(b.ValidUntil), cmp.Compare(a.Person, b.Person), cmp.Compare(a.Kind, b.Kind))
	})
	var out []lookItem
	for _, c := range due {
		line := newCertificateLine(c, day)
		out = append(out, lookItem{Text: c.Person + ": " + lowerFirst(c.Kind) + " " + line.State, Note: "good until " + line.Until, Href: certificatesPath})
	}
	return out
}

func certificateNames(kinds []restoration.CertificateKind) []string {
	var names []string
	for _, k := range kinds {
		names = append(names, k.Name)
	}
	return names
}
