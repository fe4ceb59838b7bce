package restoration

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// SprayNotice is how many days before its last good day a certificate is spoken of at
// the bench.
const SprayNotice = 30

// SprayLapse is a certificate that whoever sprays isocyanate goes by, run out or soon to
// be. Until is its last good day, midnight UTC.
type SprayLapse struct {
	Kind   string
	Until  time.Time
	RunOut bool
}

// SpraysIsocyanate tells whether work at a stage sprays what may hold isocyanate: by its
// material, or, where none is chosen, by the cautions of the stage.
func SpraysIsocyanate(s Stage, m *Material) bool {
	if m != nil {
		return mayHoldIsocyanate(*m)
	}
	return slices.Contains(ShippedCautions(s), cautionUnsure)
}

// SprayLapses lists what of a person's trainings and fit tests has run out on a day,
// midnight UTC, and what will within [SprayNotice] days; what has run out comes first.
// Of each kind the one that lasts longest counts. Only [CertificateKinds] are looked at:
// a shop's other certificates have nothing to do with spraying.
func SprayLapses(list []Certificate, personID int64, today time.Time) []SprayLapse {
	var found []SprayLapse
	lasting := LastingCertificates(list)
	for _, kind := range CertificateKinds() {
		i := slices.IndexFunc(lasting, func(c Certificate) bool { return c.PersonID == personID && strings.EqualFold(c.Kind, kind.Name) })
		if i < 0 {
			continue
		}
		if last := lasting[i].ValidUntil; !last.IsZero() && !today.Before(last.AddDate(0, 0, -SprayNotice)) {
			found = append(found, SprayLapse{Kind: kind.Name, Until: last, RunOut: today.After(last)})
		}
	}
	slices.SortStableFunc(found, func(a, b SprayLapse) int {
		if a.RunOut != b.RunOut {
			if a.RunOut {
				return -1
			}
			return 1
		}
		return a.Until.Compare(b.Until)
	})
	return found
}

// Words tell the person what has run out and what to do, or, more quietly, what will.
func (l SprayLapse) Words() string {
	what := "Your " + lower(cmp.Or(l.Kind, "certificate"))
	day := l.Until.Format("2 Jan 2006")
	if l.RunOut {
		return what + " ran out " + day + ": talk to the owner before you spray."
	}
	return what + " runs out " + day + "."
}
