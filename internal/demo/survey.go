package demo

import (
	"math/rand/v2"
	"strings"

	"scumble/internal/restoration"
	"scumble/internal/trimlist"
)

// survey lists a car's pieces with what was found on them.
func survey(s spec, rnd *rand.Rand) []restoration.NewPiece {
	body, _ := trimlist.FindBody(s.body)
	for i := range body.Pieces {
		p := &body.Pieces[i]
		p.LiesAt = inCar
		p.Grade = []int{1, 2, 2, 3, 3, 3, 3, 4, 4, 5}[rnd.IntN(10)]
		if isCasting(p.Name) {
			p.Metal = "zinc"
		}
		p.Faults = faults(*p, rnd)
		switch p.Name {
		case s.missing:
			p.Faults, p.LiesAt, p.Grade = []restoration.Fault{{Kind: restoration.FaultMissing, Count: 1}}, "", 0
			p.Note = "Not with the car. The bracket behind the panel shows where it sat."
		case s.odd:
			if p.Side == restoration.SideRight {
				p.Scheme = oddScheme
			}
		case s.explained:
			p.Scheme, p.SchemeReason = s.oddScheme, s.oddBecause
		}
	}
	return body.Pieces
}

// isCasting tells whether a piece is usually a zinc casting (from memory).
func isCasting(name string) bool {
	return strings.Contains(name, "bezel") || strings.Contains(name, "ash tray")
}

// faults draws what the survey found: the worse the grade, the more of it.
func faults(p restoration.NewPiece, rnd *rand.Rand) []restoration.Fault {
	var out []restoration.Fault
	add := func(kind string, n int) { out = append(out, restoration.Fault{Kind: kind, Count: n}) }
	switch {
	case p.Metal == "zinc" && p.Grade >= 4:
		add("cracked casting", 1)
	case p.Grade >= 5:
		add("hole", 1+rnd.IntN(2))
		add("pitting", 1)
	case p.Grade == 4 && rnd.IntN(3) > 0:
		add([]string{"hole", "dent", "pitting", "small dent"}[rnd.IntN(4)], 1)
	case p.Grade == 3 && rnd.IntN(6) == 0:
		add([]string{"small dent", "thread", "stud"}[rnd.IntN(3)], 1+rnd.IntN(2))
	}
	return out
}
