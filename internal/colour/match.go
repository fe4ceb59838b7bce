package colour

import "math"

// Sample is the reading of one piece. Its Lab has passed [Lab.Check].
type Sample struct {
	Key, Name string
	Lab       Lab
}

// Tolerance is how far colours may lie apart, in ΔE00.
type Tolerance struct {
	Set    float64 // between any two pieces of a set
	Scheme float64 // from a piece to the colour of the scheme
}

// DefaultTolerance is where a shop starts: 1.0 in a set and 2.0 to the scheme. Common
// practice, no source; side by side at a joint even 0.5 may show.
func DefaultTolerance() Tolerance { return Tolerance{Set: 1.0, Scheme: 2.0} }

// Pair is two pieces and how far they lie apart.
type Pair struct {
	A, B   Sample
	DeltaE float64
}

// Odd is the piece that stands out of a set.
type Odd struct {
	Sample
	// Mean is its mean ΔE00 to the others.
	Mean float64
	// WorstOfRest is the largest ΔE00 that is left when it is taken out.
	WorstOfRest float64
}

// Distance is how far a piece lies from the target.
type Distance struct {
	Sample
	DeltaE float64
	Within bool
}

// Matching is how well the pieces of a set match one another and the target.
type Matching struct {
	Worst    *Pair // the two that differ most; nil with fewer than two pieces
	Mean     float64
	InSet    bool       // no pair is beyond the tolerance
	Odd      *Odd       // nil where no single piece is to blame
	ToTarget []Distance // in the order of the pieces; nil without a target
	OnTarget bool       // no piece is beyond the tolerance to the target; true without one
}

// OK tells whether nothing is beyond its tolerance.
func (m Matching) OK() bool { return m.InSet && m.OnTarget }

// clearly is how far the mean of a set must fall, as a share of what it was, for a
// piece taken out to be the odd one: a third. Common practice, no source.
const clearly = 2.0 / 3

// Match compares the pieces of a set pairwise and each with the target, which may be
// nil. Of pairs that differ alike the first counts.
//
// A piece is the odd one when the set is beyond its tolerance, holds three pieces or
// more, and either this piece alone can be taken out to bring the rest within it, or,
// where that is true of none or of several, this piece alone lowers the mean of all
// pairs by a third or more. So two halves that differ, or a slow drift from one end to
// the other, have no odd one.
func Match(pieces []Sample, target *Lab, tol Tolerance) Matching {
	s := compare(pieces, tol.Set)
	m := Matching{Mean: s.mean(), InSet: s.beyond == 0, OnTarget: true}
	if len(pieces) >= 2 {
		i, j := s.worst(-1)
		m.Worst = &Pair{A: pieces[i], B: pieces[j], DeltaE: s.at(i, j)}
	}
	if i, ok := s.odd(); ok {
		a, b := s.worst(i)
		m.Odd = &Odd{Sample: pieces[i], Mean: s.sums[i] / float64(s.n-1), WorstOfRest: s.at(a, b)}
	}
	if target == nil {
		return m
	}
	for _, p := range pieces {
		d := distance(p.Lab, *target)
		within := d <= tol.Scheme
		m.ToTarget = append(m.ToTarget, Distance{Sample: p, DeltaE: d, Within: within})
		m.OnTarget = m.OnTarget && within
	}
	return m
}

// distance is ΔE00, or infinity where a reading is broken: it must not pass for a match.
func distance(x, y Lab) float64 {
	d := DeltaE2000(x, y)
	if math.IsNaN(d) {
		return math.Inf(1)
	}
	return d
}

// set is the distances within a set.
type set struct {
	n         int
	distances []float64 // n × n
	sums      []float64 // of a piece to all others
	total     float64   // of all pairs
	beyonds   []int     // pairs of a piece that are beyond the tolerance
	beyond    int       // all such pairs
}

func compare(pieces []Sample, tolerance float64) *set {
	n := len(pieces)
	s := &set{n: n, distances: make([]float64, n*n), sums: make([]float64, n), beyonds: make([]int, n)}
	for i := range n {
		for j := i + 1; j < n; j++ {
			d := distance(pieces[i].Lab, pieces[j].Lab)
			s.distances[i*n+j] = d
			s.sums[i] += d
			s.sums[j] += d
			s.total += d
			if d <= tolerance {
				continue
			}
			s.beyonds[i]++
			s.beyonds[j]++
			s.beyond++
		}
	}
	return s
}

// at is the distance of a pair, i < j.
func (s *set) at(i, j int) float64 { return s.distances[i*s.n+j] }

// mean is that of all pairs; 0 where there is none.
func (s *set) mean() float64 { return meanOf(s.total, s.n) }

// meanOf is the mean of all pairs of n pieces that sum to total; 0 where there is none.
func meanOf(total float64, n int) float64 {
	if n < 2 {
		return 0
	}
	return total / float64(n*(n-1)/2)
}

// worst is the pair that differs most, without the piece left out (−1 for none). At
// least two pieces must remain.
func (s *set) worst(without int) (a, b int) {
	most := -1.0
	for i := range s.n {
		for j := i + 1; j < s.n; j++ {
			if i != without && j != without && s.at(i, j) > most {
				most, a, b = s.at(i, j), i, j
			}
		}
	}
	return a, b
}

// odd is the piece that stands out; see [Match]. Of two pieces each passes both tests,
// so that neither is.
func (s *set) odd() (int, bool) {
	if s.beyond == 0 {
		return 0, false
	}
	// All pairs beyond the tolerance go when a piece goes that is in all of them.
	if i, ok := s.only(func(i int) bool { return s.beyonds[i] == s.beyond }); ok {
		return i, true
	}
	return s.only(func(i int) bool { return meanOf(s.total-s.sums[i], s.n-1) <= clearly*s.mean() })
}

// only is the one piece for which the test holds; false where there is none or
// more than one.
func (s *set) only(holds func(int) bool) (int, bool) {
	found := -1
	for i := range s.n {
		if !holds(i) {
			continue
		}
		if found >= 0 {
			return 0, false
		}
		found = i
	}
	return found, found >= 0
}
