package ui

// cellFor is a piece with the size of its shape and the width of its frame.
func (v *zoneView) cellFor(p PlanPiece, most float64) cell {
	f := formOf(p)
	c := cell{Piece: p, Form: f, Cut: cutFor(p.ID+p.Name, f == formUpright, f == formPanel)}
	room := most
	if v.Pairs && p.Side != "" && f == formSlim {
		room = (most - colGap) / 2 // its other hand stands beside it
	}
	c.Shape.W, c.Shape.H = size(f, p.AreaM2, v.scale(), room-2*framePad)
	c.Shape.R = radius(f, c.Shape.W, c.Shape.H)
	wish := max(c.Shape.W+2*framePad, min(textWidth(p.Name, nameSize)+4, 132), leastCol)
	if p.Waiting != "" {
		wish = max(wish, chipWidth(p.Waiting)+4)
	}
	c.Frame.W = min(wish, most)
	return c
}

// words sets the words below the shape and the chip upon it, and with them the
// frame, of the given width round the centre.
func (c *cell) words(width, centre float64) {
	y := c.Shape.Y + c.Shape.H + wordsGap
	if c.Piece.Waiting != "" {
		y = c.chip(width, y)
	}
	add := func(text, class string, most int) {
		lines, _ := wrapText(text, nameSize, width, most)
		for _, line := range lines {
			y += lineHeight
			c.Lines = append(c.Lines, textLine{centre, y - 3, line, class})
		}
	}
	add(c.Piece.Name, "name", 3)
	if c.Piece.Fixed {
		add("in the car", "sub", 1)
	}
	if c.Piece.Trouble != "" {
		add(c.Piece.Trouble, "woe", 2)
	}
	top := c.Shape.Y - framePad
	left := min(centre-width/2, c.Shape.X-framePad)
	right := max(centre+width/2, c.Shape.X+c.Shape.W+framePad)
	c.Frame = box{X: left, Y: top, W: right - left, H: y + framePad - top, R: 8}
}

// chip sets the clock and the hour: upon the shape where enough of it stays to
// be seen, otherwise below. It gives the y from which the words go on.
func (c *cell) chip(width, y float64) float64 {
	text := c.Piece.Waiting
	if chipWidth(text) > width-2 {
		text, _ = shorten(text, chipSize*1.15, width-chipFree-2)
	}
	w := min(chipWidth(text), width)
	c.ChipText = text
	c.Chip = &box{X: c.Shape.X + c.Shape.W/2 - w/2, Y: c.Shape.Y + c.Shape.H/2 - chipH/2, W: w, H: chipH, R: chipH / 2}
	if c.Shape.W < 1.5*w && c.Shape.H < 2.2*chipH || c.Shape.W < 1.1*w {
		c.Chip.Y = y + 3
	}
	return max(y, c.Chip.Y+chipH+1)
}

// plate lays paper behind the words.
func (c *cell) plate() {
	if len(c.Lines) == 0 {
		return
	}
	var widest float64
	for _, l := range c.Lines {
		widest = max(widest, textWidth(l.Text, nameSize))
	}
	top := c.Lines[0].Y - lineHeight + 5
	bottom := c.Lines[len(c.Lines)-1].Y + 4
	w := min(widest+10, c.Frame.W)
	c.Plate = &box{X: c.Lines[0].X - w/2, Y: top, W: w, H: bottom - top, R: 5}
}
