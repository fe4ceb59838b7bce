package restoration

import (
	"cmp"
	"slices"
	"strconv"
	"time"
)

// DefectRow is a send-back as the statistics of defects read it.
type DefectRow struct {
	At       time.Time
	PieceID  ID
	Piece    string // its title
	Car      string // its work order
	Defect   string // key
	Found    string // name of the stage that was done last when it was found
	Back     string // name of the stage that it sent the piece back to
	Material string // of the last coat of the layer concerned; "" none is logged
	PersonID int64  // who worked last at the stage that makes such a defect ([Defect.MadeAt]); 0 nobody
	Person   string
	NoRework bool    // the stage that it went back to had not been done
	Hours    Minutes // that it cost: as entered, else the rework that was planned
}

// DefectTally is how often something went wrong, and what that cost.
type DefectTally struct {
	Name  string
	Count int
	Hours Minutes
}

// DefectSums are the statistics of defects. Each list adds up to the whole, and has
// what cost most first; months follow one another.
type DefectSums struct {
	Count int
	Hours Minutes

	ByDefect   []DefectTally
	ByFound    []DefectTally
	ByBack     []DefectTally
	ByMaterial []DefectTally
	ByPerson   []DefectTally // for an owner's eyes only
	ByMonth    []DefectTally // "Mar 2026"
}

// NotLogged stands in the statistics for a material or a person that nobody entered.
const NotLogged = "not logged"

// DefectStats adds up send-backs. Months are those of loc.
func DefectStats(rows []DefectRow, loc *time.Location) DefectSums {
	rows = slices.Clone(rows)
	slices.SortStableFunc(rows, func(a, b DefectRow) int { return a.At.Compare(b.At) })
	var sums DefectSums
	for _, r := range rows {
		sums.Count++
		sums.Hours += r.Hours
	}
	whole := func(name string) (string, string) { return name, name }
	sums.ByDefect = dearestFirst(tally(rows, func(r DefectRow) (string, string) { return r.Defect, r.name() }))
	sums.ByFound = dearestFirst(tally(rows, func(r DefectRow) (string, string) { return whole(r.Found) }))
	sums.ByBack = dearestFirst(tally(rows, func(r DefectRow) (string, string) { return whole(r.Back) }))
	sums.ByMaterial = dearestFirst(tally(rows, func(r DefectRow) (string, string) { return whole(r.Material) }))
	sums.ByPerson = dearestFirst(tally(rows, func(r DefectRow) (string, string) { return strconv.FormatInt(r.PersonID, 10), r.Person }))
	sums.ByMonth = tally(rows, func(r DefectRow) (string, string) { return whole(r.At.In(loc).Format("Jan 2006")) })
	return sums
}

func (r DefectRow) name() string {
	if d, ok := FindDefect(r.Defect); ok {
		return d.Name
	}
	return r.Defect
}

// tally counts by a key with its name, in the order in which the keys come.
func tally(rows []DefectRow, by func(DefectRow) (key, name string)) []DefectTally {
	at := map[string]int{}
	var list []DefectTally
	for _, r := range rows {
		key, name := by(r)
		i, ok := at[key]
		if !ok {
			i = len(list)
			at[key], list = i, append(list, DefectTally{Name: cmp.Or(name, NotLogged)})
		}
		list[i].Count++
		list[i].Hours += r.Hours
	}
	return list
}

func dearestFirst(list []DefectTally) []DefectTally {
	slices.SortStableFunc(list, func(a, b DefectTally) int {
		return cmp.Or(cmp.Compare(b.Hours, a.Hours), cmp.Compare(b.Count, a.Count), cmp.Compare(a.Name, b.Name))
	})
	return list
}
