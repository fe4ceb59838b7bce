package office

import (
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
	Selected map[string]bool // after a change that could not be made
	Planned  restoration.Minutes
	Logged   restoration.Minutes
	Left     restoration.Minutes
}

// newPieceTable filters and sorts rows by the address. bulk is the change that could
// not be made, nil otherwise: its pieces stay selected.
func newPieceTable(rows []pieceRow, address *url.URL, bulk *form) pieceTable {
	q := address.Query()
	t := pieceTable{All: len(rows), Address: address, Filters: pieceFilters(rows, q), Sort: q.Get(ui.SortParam),
		Selected: map[string]bool{}}
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
	if bulk != nil {
		for _, id := range bulk.values["piece"] {
			t.Selected[id] = true
		}
	}
	return t
}

// pieceFilters offers only what the pieces of this car have.
func pieceFilters(rows []pieceRow, q url.Values) []ui.SelectProps {
	stage := choices{first: "every stage"}
	set := choices{first: "every set"}
	zone := choices{first: "every zone"}
	person := choices{first: "everybody"}
	byStage := slices.Clone(rows)
	sortRows(byStage, "stage")
	for _, row := range byStage {
		stage.add(row.stageKey, "next: "+row.Next)
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
		stage.selectOf(filterStage, "Next stage", q), set.selectOf(filterSet, "Set", q),
		zone.selectOf(filterZone, "Zone", q), person.selectOf(filterPerson, "Person", q), nowFilter(q),
	}
}

func nowFilter(q url.Values) ui.SelectProps {
	return ui.SelectProps{Name: filterNow, Label: "Now", Value: q.Get(filterNow), Options: []ui.Option{
		{Word: "anything"},
		{Value: nowWorkable, Word: "can be worked"}, {Value: nowWaiting, Word: "waiting"},
		{Value: nowHeld, Word: "held"}, {Value: nowInHand, Word: "in hand"},
		{Value: nowRework, Word: "sent back"}, {Value: nowFinished, Word: "finished"},
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
