package restoration

// The condition grades, best and worst.
const (
	BestGrade  = 1
	WorstGrade = 6
)

// GradeWord says a condition grade in a few words; "" for what is none. The scale is
// common practice, no source.
func GradeWord(grade int) string {
	switch grade {
	case 1:
		return "as new"
	case 2:
		return "sound metal"
	case 3:
		return "light pits, small dents"
	case 4:
		return "rusted through, bent"
	case 5:
		return "torn, part missing"
	case 6:
		return "pattern only"
	}
	return ""
}

// ShowsSteel tells whether the piece stands on bare metal or is about to: then its
// condition can be seen and graded again. r is its route.
func (p Piece) ShowsSteel(r Route) bool {
	switch p.Sum.Look {
	case LookStripped, LookRepaired:
		return true
	}
	next, ok := r.Stage(p.Sum.NextStage)
	return ok && next.Look == LookStripped
}
