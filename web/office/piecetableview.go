package office

import (
	"cmp"
	"net/url"
	"slices"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// pieceTable is the pieces of a car as the address asks for them.
type pieceTable struct {
	Rows     []pieceRow
	All      int // pieces before the filter
	Address  *url.URL
	Filters  []ui.SelectProps
	Sort     string // kept through a change of filter
	Filtered bool
	Hours    string          // key of the stage whose hours alone are shown; "" shows all
	HoursOf  string          // its name
	Selected map[string]bool // after a change that could not be made
	Planned  restoration.Minutes
	Logged   restoration.Minutes
	Left     restoration.Minutes
	Part     *partColumn // nil where no part of what is left was asked for
}

// partColumn is the part of what is left that the address asks for: that of one
// stage, or rework. It adds up to the figure whose link led here.
type partColumn struct {
	Word string
	of   func(pieceRow) restoration.Minutes
	Sum  restoration.Minutes
}

func newPartColumn(rows []pieceRow, q url.Values) *partColumn {
	p := &partColumn{}
	switch stage := q.Get(filterTodo); {
	case stage != "" && len(rows) > 0:
		p.Word, p.of = "Of it "+lowerFirst(todoWord(rows, stage))+", h", func(row pieceRow) restoration.Minutes { return row.leftAt(stage) }
	case q.Get(filterNow) == nowRework:
		p.Word, p.of = "Of it rework, h", func(row pieceRow) restoration.Minutes { return row.Rework }
	default:
		return nil
	}
	for _, row := range rows {
		p.Sum += p.of(row)
	}
	return p
}

// todoWord is the shop's word for a stage that some of the rows have still to do.
func todoWord(rows []pieceRow, stage string) string {
	for _, row := range rows {
		for _, s := range row.todo {
			if s.key == stage {
				return s.name
			}
		}
	}
	return stage
}

// hoursWord is the shop's word for a stage of some of the rows.
func hoursWord(rows []pieceRow, stage string) string {
	for _, row := range rows {
		for _, s := range row.stages {
			if s.key == stage {
				return s.name
			}
		}
	}
	return stage
}

// newPieceTable filters and sorts rows by the address. bulk is the change that could
// not be made, nil otherwise: its pieces stay selected.
func newPieceTable(rows []pieceRow, address *url.URL, bulk *form) pieceTable {
	q := address.Query()
	t := pieceTable{All: len(rows), Address: address, Filters: pieceFilters(rows, q), Sort: q.Get(ui.SortParam),
		Selected: map[string]bool{}}
	if t.Hours = q.Get(filterHours); t.Hours != "" {
		t.HoursOf, t.Filtered = lowerFirst(hoursWord(rows, t.Hours)), true
		rows = hoursOfStage(rows, t.Hours)
	}
	t.Rows = keepRows(rows, q)
	sortRows(t.Rows, t.Sort)
	for _, f := range t.Filters {
		t.Filtered = t.Filtered || f.Value != ""
	}
	for _, row := range t.Rows {
		t.Planned += row.Planned
		t.Logged += row.Logged
		t.Left += row.Left
	}
	t.Part = newPartColumn(t.Rows, q)
	if bulk != nil {
		for _, id := range bulk.values["piece"] {
			t.Selected[id] = true
		}
	}
	return t
}

// pieceFilters offers only what the pieces of this car have.
func pieceFilters(rows []pieceRow, q url.Values) []ui.SelectProps {
	stage, todo := choices{first: "every stage"}, choices{first: "any stage"}
	set := choices{first: "every set"}
	zone := choices{first: "every zone"}
	person := choices{first: "everybody"}
	byStage := slices.Clone(rows)
	sortRows(byStage, "stage")
	for _, row := range byStage {
		stage.add(row.stageKey, "next: "+row.Next)
	}
	for _, s := range todoStages(rows) {
		todo.add(s.key, s.name)
	}
	bySet := slices.Clone(rows)
	sortRows(bySet, "set")
	for _, row := range bySet {
		if row.Set == "" {
			set.add(noSet, "no set")
		} else {
			set.add(row.Set, row.Set)
		}
	}
	for _, row := range rows {
		zone.add(row.zoneKey, row.zoneKey)
	}
	byPerson := slices.Clone(rows)
	sortRows(byPerson, "who")
	for _, row := range byPerson {
		if row.PersonID != 0 {
			person.add(formatID(row.PersonID), row.Who)
		}
	}
	return []ui.SelectProps{
		stage.selectOf(filterStage, "Next stage", q), todo.selectOf(filterTodo, "Still to do", q), set.selectOf(filterSet, "Set", q),
		zone.selectOf(filterZone, "Zone", q), person.selectOf(filterPerson, "Person", q), nowFilter(q),
	}
}

// todoStages are the stages that any of the rows has still to do, in their order.
func todoStages(rows []pieceRow) []todoStage {
	var out []todoStage
	for _, row := range rows {
		out = append(out, row.todo...)
	}
	slices.SortStableFunc(out, func(a, b todoStage) int { return cmp.Compare(a.at, b.at) })
	return out
}

func nowFilter(q url.Values) ui.SelectProps {
	return ui.SelectProps{Name: filterNow, Label: "Now", Value: q.Get(filterNow), Options: []ui.Option{
		{Word: "anything"},
		{Value: nowWorkable, Word: "can be worked now"}, {Value: nowWaiting, Word: "wait for paint"},
		{Value: nowHeld, Word: "held"}, {Value: nowInHand, Word: "in hand"},
		{Value: nowRework, Word: "with rework left"}, {Value: nowFinished, Word: "finished"},
	}}
}

// choices gathers the options of a filter, each once, in the order they come.
type choices struct {
	first   string
	options []ui.Option
}

func (c *choices) add(value, word string) {
	if value == "" || slices.ContainsFunc(c.options, func(o ui.Option) bool { return o.Value == value }) {
		return
	}
	c.options = append(c.options, ui.Option{Value: value, Word: word})
}

func (c *choices) selectOf(name, label string, q url.Values) ui.SelectProps {
	return ui.SelectProps{Name: name, Label: label, Value: q.Get(name),
		Options: append([]ui.Option{{Word: c.first}}, c.options...)}
}
