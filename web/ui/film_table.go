package ui

import (
	"strings"

	"scumble/internal/coating"
)

// filmRow is a line of the table beside the picture; empty cells are blank.
type filmRow struct {
	Name, Note           string
	On, Off, Left, Range string
	Part                 bool // of the line above it
	Strong               bool // the line that counts
}

// rows are the numbers of the picture, from the top down.
func (p FilmProps) rows() []filmRow {
	var list []filmRow
	if p.Film.ByGauge {
		list = append(list, filmRow{Name: "clear, by gauge", Note: p.lowestSpot(), Left: p.figure(p.Film.Clear.Likely), Range: p.figures(p.Film.Clear), Strong: true})
	}
	for i := len(p.Film.Layers) - 1; i >= 0; i-- {
		l := p.Film.Layers[i]
		row := filmRow{Name: string(l.Layer), Note: p.Materials[l.Layer], On: p.figure(l.On.Likely), Left: p.figure(l.Left.Likely), Range: p.figures(l.Left)}
		if !l.Cut.IsZero() {
			row.Off = p.figure(l.Cut.Likely)
		}
		if l.Layer != coating.Clear {
			list = append(list, row)
			continue
		}
		if p.Film.ByGauge {
			row.Name = "clear, by coats and cuts"
		}
		row.Strong = !p.Film.ByGauge
		list = append(append(list, row), p.sessionRows()...)
	}
	return list
}

func (p FilmProps) sessionRows() []filmRow {
	if len(p.Film.Sessions) < 2 {
		return nil
	}
	var list []filmRow
	for i := len(p.Film.Sessions) - 1; i >= 0; i-- {
		s := p.Film.Sessions[i]
		row := filmRow{Name: sessionName(s.Name), On: p.figure(s.On.Likely), Part: true}
		if s.Over {
			row.Note = "over the limit of a session"
		}
		list = append(list, row)
	}
	return list
}

// lowestSpot says which spot decides, and what was done since it was read.
func (p FilmProps) lowestSpot() string {
	_, since, _ := strings.Cut(p.byGauge(), ", ")
	if since == "" {
		return "the lowest measured spot"
	}
	return "the lowest measured spot, " + since
}

// before says what came after a spot was last read, and when that was; "" nothing did.
func (p FilmProps) before(s coating.Spot) string {
	var says string
	switch {
	case s.TotalUM <= 0 || s.Since == coating.Since{}:
		return ""
	case s.Since.Coated && s.Since.Cut:
		says = "before the last coat and cut"
	case s.Since.Coated:
		says = "before the last coat"
	default:
		says = "before the last cut"
	}
	if at := p.ReadAt[s.Name]; at != "" {
		says += ", " + at
	}
	return says
}

// sessionName names what was put on in a visit, or stayed from before.
func sessionName(name string) string {
	if name == coating.Stayed {
		return "clear that stayed"
	}
	return "session " + name
}

// figure is a film without its unit, which stands above the table.
func (p FilmProps) figure(um float64) string { return bare(p.um(um)) }

func (p FilmProps) figures(r coating.Range) string { return bare(p.span(r)) }

// known is figure, or a dash for what wasn't measured.
func (p FilmProps) known(is bool, um float64) string {
	if !is {
		return None
	}
	return p.figure(um)
}

// bare drops the unit at the end.
func bare(film string) string {
	figure, _, _ := strings.Cut(film, " ")
	return figure
}
