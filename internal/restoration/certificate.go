package restoration

import (
	"slices"
	"strings"
	"time"
	"unicode/utf8"
)

// Certificate is a training or a fit test of a person that comes due again. Dates are
// midnight UTC of the day meant.
type Certificate struct {
	ID         int64
	PersonID   int64
	Person     string // where the reader has looked it up
	Kind       string // in the shop's own words, or one of [CertificateKinds]
	DoneOn     time.Time
	ValidUntil time.Time // last good day; zero: it does not run out
	Note       string
}

// CertificateState is where a certificate stands on a day.
type CertificateState string

// The states of a certificate.
const (
	CertificateValid  CertificateState = "valid"
	CertificateDue    CertificateState = "due" // runs out within [CertificateNotice]
	CertificateRunOut CertificateState = "run out"
)

// CertificateNotice is how many days before its last good day a certificate is due.
const CertificateNotice = 60

// State tells where the certificate stands on a day, midnight UTC.
func (c Certificate) State(today time.Time) CertificateState {
	switch {
	case c.ValidUntil.IsZero():
		return CertificateValid
	case today.After(c.ValidUntil):
		return CertificateRunOut
	case !today.Before(c.ValidUntil.AddDate(0, 0, -CertificateNotice)):
		return CertificateDue
	}
	return CertificateValid
}

// LastingCertificates gives, of each person and kind in any case, the one that lasts
// longest: who has been trained again need not look back.
func LastingCertificates(list []Certificate) []Certificate {
	var lasting []Certificate
	for _, c := range list {
		i := slices.IndexFunc(lasting, func(have Certificate) bool {
			return have.PersonID == c.PersonID && strings.EqualFold(have.Kind, c.Kind)
		})
		switch {
		case i < 0:
			lasting = append(lasting, c)
		case c.outlasts(lasting[i]):
			lasting[i] = c
		}
	}
	return lasting
}

// outlasts tells whether c is good for longer than o.
func (c Certificate) outlasts(o Certificate) bool {
	return !o.ValidUntil.IsZero() && (c.ValidUntil.IsZero() || c.ValidUntil.After(o.ValidUntil))
}

// Check lists what can't be right, each at its field: kind, done, until, note. Nil is
// all right.
func (c Certificate) Check() []*Problem {
	var found []*Problem
	add := func(field, format string, args ...any) {
		found = append(found, Problemf(TroubleInvalid, field, format, args...))
	}
	if n := utf8.RuneCountInString(c.Kind); n == 0 || n > MaxName {
		add("kind", "Say what it certifies, 1 to %d characters.", MaxName)
	}
	if c.DoneOn.IsZero() {
		add("done", "Say on which day it was done.")
	}
	if !c.ValidUntil.IsZero() && c.ValidUntil.Before(c.DoneOn) {
		add("until", "It would have run out before it was done. Correct one of the two dates.")
	}
	if utf8.RuneCountInString(c.Note) > MaxNote {
		add("note", "The note is longer than %d characters. Shorten it.", MaxNote)
	}
	return found
}

// CertificateKind is a certificate that is suggested, with how long one lasts.
type CertificateKind struct {
	Name   string
	Years  int
	Source string
}

// CertificateKinds lists the certificates that are suggested.
func CertificateKinds() []CertificateKind {
	return []CertificateKind{
		{"Isocyanate training", 5, "Regulation (EU) 2020/1149"},
		{"Painters' training", 5, "40 CFR 63 subpart HHHHHH"},
		{"Respirator fit test", 1, "29 CFR 1910.134(f)"},
	}
}

// Until is the last good day of one that was done on a day.
func (k CertificateKind) Until(done time.Time) time.Time { return done.AddDate(k.Years, 0, 0) }
