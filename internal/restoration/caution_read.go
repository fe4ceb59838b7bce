package restoration

import (
	"time"

	"scumble/internal/coating"
)

// CautionSubject names the cautions of a stage as they are read with a material, nil
// where none is chosen: what was read for a lacquer says nothing of isocyanate. One
// reading holds for every material of a kind.
func CautionSubject(s Stage, m *Material) string {
	if m == nil {
		return s.Name
	}
	subject := s.Name + ", " + string(m.Kind)
	switch {
	case m.Isocyanate:
		subject += ", isocyanate"
	case m.Kind == coating.OtherKind && mayHoldIsocyanate(*m):
		subject += ", perhaps isocyanate"
	}
	return subject
}

// CautionReadAt gives the hour at which cautions were read: said, as a tablet says it that
// kept the reading while it had no network, but never later than now, when it is heard.
// Zero: now.
func CautionReadAt(said, now time.Time) time.Time {
	if said.IsZero() || said.After(now) {
		return now
	}
	return said
}
