package restoration

import "scumble/internal/coating"

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
