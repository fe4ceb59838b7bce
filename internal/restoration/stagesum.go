package restoration

import (
	"cmp"
	"slices"
)

// stageSums gathers figures by stage key.
type stageSums struct {
	index map[string]int
	rows  []StageRoll
}

func (t *stageSums) add(s Step, p Piece, r Route) {
	roll := StageRoll{Stage: s.Stage, Name: s.Stage, Look: LookOther, Order: s.Position,
		Planned: s.Counted, Logged: s.Logged, Left: s.Left}
	if s.Rework {
		roll.ReworkLeft = s.Left
	}
	if stage, ok := r.Stage(s.Stage); ok {
		roll.Name, roll.Look = stage.Name, stage.Look
	}
	if s.Current() && !s.Settled() && p.Removed.IsZero() {
		roll.Pieces = 1
	}
	t.merge(roll)
}

// merge adds a stage's figures. Where routes differ, the stage stands at its
// earliest position, under the first name met.
func (t *stageSums) merge(s StageRoll) {
	i, ok := t.index[s.Stage]
	if !ok {
		t.index[s.Stage] = len(t.rows)
		t.rows = append(t.rows, s)
		return
	}
	row := &t.rows[i]
	row.Order = min(row.Order, s.Order)
	row.Pieces += s.Pieces
	row.Planned += s.Planned
	row.Logged += s.Logged
	row.Left += s.Left
	row.ReworkLeft += s.ReworkLeft
}

func (t *stageSums) sorted() []StageRoll {
	slices.SortStableFunc(t.rows, func(a, b StageRoll) int {
		return cmp.Or(cmp.Compare(a.Order, b.Order), cmp.Compare(a.Stage, b.Stage))
	})
	return t.rows
}
