package restoration

// Planned gives the planned labour of a new piece on a route: the standard of its
// size class × the quality agreed × the access factor where it is fixed in the car
// × the condition factor on the stages that go by grade. A repair stage takes the
// repair hours of the piece's faults, and stands only where there are any.
func Planned(d Details, q Quality, r Route, f Factors) []Plan {
	var plan []Plan
	for _, stage := range r.Stages {
		if stage.Repair {
			if repair := Repair(d.Faults); repair.Likely > 0 {
				plan = append(plan, Plan{Stage: stage.Key, Hours: accessed(repair, d.Mounting, f)})
			}
			continue
		}
		factor := q.Factor()
		if stage.ByGrade {
			factor *= f.forGrade(d.WorkingGrade())
		}
		hours := stage.Standard(d.Size).Times(factor, factor, factor)
		plan = append(plan, Plan{Stage: stage.Key, Hours: accessed(hours, d.Mounting, f)})
	}
	return plan
}

func accessed(e Estimate, m Mounting, f Factors) Estimate {
	if m != MountFixed {
		return e
	}
	return e.Times(f.Fixed[0], f.Fixed[1], f.Fixed[2])
}

// forGrade gives the condition factor; 1 for a piece that is not graded.
func (f Factors) forGrade(grade int) float64 {
	if grade < 1 || grade > len(f.Grade) {
		return 1
	}
	return f.Grade[grade-1]
}

// OpeningHold gives the reason for which a piece starts on hold; "" when it doesn't.
func OpeningHold(d Details) string {
	for _, f := range d.Faults {
		if f.Kind == FaultMissing {
			return "piece missing: to be found"
		}
	}
	return ""
}
