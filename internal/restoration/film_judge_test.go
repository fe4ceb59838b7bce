package restoration

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
	"scumble/internal/colour"
)

func TestCoatBeforeItsTurn(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "grounded")
	out := s.do(KindCoat, 1, "cleared", now, clearCoat(1))
	require.Equal(t, refused("Grounded comes first and is not ticked yet, so nothing of cleared can have been done."), out)
	s.mustDo(t, KindTick, 1, "grounded", now, Payload{Checks: s.checks("grounded")})
	out = s.do(KindCoat, 1, "cleared", now.AddDate(0, 0, 1), clearCoat(1))
	require.Equal(t, refused("Grained comes first and is not ticked yet, so nothing of cleared can have been done."), out)
	require.Empty(t, s.film)
}

// A surface of 72 °C is 22.2 °C typed in °F: (72 − 32) ÷ 1.8.
func TestFiguresThatLookMistyped(t *testing.T) {
	t.Parallel()
	hot, thick, deep := clearCoat(1), clearCoat(1), Payload{Reading: &Reading{Kind: ReadFilm, FilmUM: []float64{210, 3000, 211}}}
	hot.Coat.Air = &AirWords{AirC: number(21), SurfaceC: number(72), Humidity: number(50)}
	thick.Coat.WetUM = number(900)
	for name, c := range map[string]struct {
		kind Kind
		p    Payload
		want string
	}{
		"surface in °F": {KindCoat, hot, "The surface at 72 °C? Typed in °F it is 22.2 °C."},
		"wet film":      {KindCoat, thick, "A wet film of 900 µm in one coat is a lot."},
		"reading":       {KindReading, deep, "A film of 3000 µm is more than 2000 µm, the end of a gauge's scale. It would be kept, but not counted."},
	} {
		s := newFilmShop(door())
		now := s.reach(t, 1, "cleared")
		out := s.do(c.kind, 1, "cleared", now, c.p)
		require.Equal(t, refused(c.want+" Correct it, or confirm that it is so."), out, name)
		c.p.Reason = "it is so"
		require.Equal(t, Refused, s.do(c.kind, 1, "cleared", now, c.p).Result, "%s: a reason is no confirmation", name)
		c.p.Checks = []string{CheckSure}
		s.mustDo(t, c.kind, 1, "cleared", now, c.p)
	}
}

func TestFiguresThatCannotBe(t *testing.T) {
	t.Parallel()
	coat := func(change func(*Coat)) Payload {
		p := clearCoat(1)
		change(p.Coat)
		return p
	}
	air := func(a AirWords) Payload { return coat(func(c *Coat) { c.Air = &a }) }
	read := func(r Reading) Payload { return Payload{Reading: &r} }
	for name, c := range map[string]struct {
		kind Kind
		p    Payload
		want string
	}{
		"humidity 0":        {KindCoat, air(AirWords{Humidity: number(0)}), "Humidity can't be 0 %"},
		"humidity 101":      {KindCoat, air(AirWords{Humidity: number(101)}), "Humidity can't be 101 %"},
		"humidity −3":       {KindCoat, air(AirWords{Humidity: number(-3)}), "Humidity can't be -3 %"},
		"air 600":           {KindCoat, air(AirWords{AirC: number(600)}), "The air can't be that hot"},
		"coat 0":            {KindCoat, coat(func(c *Coat) { c.Number = 0 }), "Say which coat it is"},
		"wet film 0":        {KindCoat, coat(func(c *Coat) { c.WetUM = number(0) }), "A wet film that thick, or of nothing, can't be"},
		"less than none":    {KindCoat, coat(func(c *Coat) { c.ML = -1 }), "That amount of paint can't be"},
		"a tin's":           {KindCoat, coat(func(c *Coat) { c.Lots[0].ML = -1 }), "That amount out of a tin can't be"},
		"thinner":           {KindCoat, coat(func(c *Coat) { c.Thinned = -.1 }), "The thinner beyond the sheet's"},
		"no grade":          {KindCutPass, pass(" "), "Say with which grade"},
		"grade of no scale": {KindCutPass, pass("800"), "800"},
		"taken off":         {KindCutPass, Payload{Cut: &CutPass{Grade: "P800", Off: &coating.Range{Low: 9, Likely: 5, High: 9}}}, "from low over likely to high"},
		"no reading":        {KindReading, read(Reading{Kind: ReadFilm}), "Say what was measured"},
		"of no kind":        {KindReading, read(Reading{Kind: "hardness", FilmUM: []float64{1}}), "Say what was measured"},
		"film under nought": {KindReading, read(Reading{Kind: ReadFilm, FilmUM: []float64{-1, 2, 3}}), "A reading that thick, or below nought, can't be"},
		"too many":          {KindReading, read(Reading{Kind: ReadFilm, FilmUM: make([]float64, mostSingle+1)}), "up to 1000 readings"},
		"gloss at 45°":      {KindReading, read(Reading{Kind: ReadGloss, Gloss: &colour.Gloss{GU: 50, Angle: 45}}), "45"},
		"L* 140":            {KindReading, read(Reading{Kind: ReadColour, Lab: &colour.Lab{L: 140}}), "L*"},
		"spot":              {KindReading, read(Reading{Kind: ReadFilm, FilmUM: []float64{1}, Spot: strings.Repeat("x", MaxPlace+1)}), "name of the spot"},
	} {
		s := newFilmShop(door())
		now := s.reach(t, 1, "cleared")
		c.p.Checks, c.p.Reason = []string{CheckSure}, "it is so"
		before := s.piece(1)
		out := s.do(c.kind, 1, "cleared", now, c.p)
		require.Equal(t, Refused, out.Result, name)
		require.Contains(t, out.Reason, c.want, name)
		require.Equal(t, before, s.piece(1), name)
	}
}

func TestNoCoatToSand(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "grained")
	require.Equal(t, refused("Grained has no coat to sand. Enter the pass at the stage whose coat it takes off."),
		s.do(KindCutPass, 1, "grained", now, pass("P800")))
}

func TestTinsThatAskForAReason(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change func(*shop, *Payload)
		want   string
	}{
		"empty":         {func(s *shop, _ *Payload) { s.lots[0].LeftML = 0 }, "Lot C-1 is empty by the book."},
		"past its date": {func(s *shop, _ *Payload) { s.lots[0].ExpiresOn = monday.Truncate(0).AddDate(0, 0, -1) }, "Lot C-1 is past its date, 1 Mar 2026."},
		"closed":        {func(s *shop, _ *Payload) { s.lots[0].Closed = monday }, "Lot C-1 is closed: used up or thrown away."},
		"too little":    {func(s *shop, _ *Payload) { s.lots[0].LeftML = 19 }, "Lot C-1 holds less than this takes."},
		"past its date, and too little": {func(s *shop, _ *Payload) {
			s.lots[0].ExpiresOn, s.lots[0].LeftML = monday.Truncate(0).AddDate(0, 0, -1), 19
		}, "Lot C-1 is past its date, 1 Mar 2026, and holds less than this takes."},
		"past its date, and empty": {func(s *shop, _ *Payload) {
			s.lots[0].ExpiresOn, s.lots[0].LeftML = monday.Truncate(0).AddDate(0, 0, -1), 0
		}, "Lot C-1 is past its date, 1 Mar 2026, and is empty by the book."},
		"of another":    {func(_ *shop, p *Payload) { p.Coat.Lots[0].Lot = groundTin }, "Lot G-1 is of Ground B, not of Clear A."},
		"of no list":    {func(_ *shop, p *Payload) { p.Coat.Material = 99 }, "The material is not on the shop's list, so nothing is known of its film; the stage's usual waits hold."},
		"another layer": {func(_ *shop, p *Payload) { p.Coat.Material, p.Coat.Lots = theGround, nil }, "Ground B is a ground, and the step is Cleared."},
	} {
		s := newFilmShop(door())
		now := s.reach(t, 1, "cleared")
		p := clearCoat(1)
		c.change(s, &p)
		out := s.do(KindCoat, 1, "cleared", now, p)
		require.Equal(t, refused(c.want+" Put it right, or say why it is so."), out, name)
		p.Reason = "it is so"
		s.mustDo(t, KindCoat, 1, "cleared", now, p)
		require.Equal(t, StepInHand, s.step(1, "cleared").State, name)
	}
}

// What can't be in a coat is said of one of its figures, so that it stands at its field.
func TestAFaultOfACoatNamesItsFigure(t *testing.T) {
	t.Parallel()
	for figure, c := range map[string]Coat{
		"number":        {},
		"wet_um":        {Number: 1, WetUM: new(0.0)},
		"thinned":       {Number: 1, Thinned: -.1},
		"air.air_c":     {Number: 1, Air: &AirWords{AirC: new(600.0)}},
		"air.humidity":  {Number: 1, Air: &AirWords{AirC: new(20.0), Humidity: new(101.0)}},
		"air.surface_c": {Number: 1, Air: &AirWords{SurfaceC: new(-300.0)}},
		"":              {Number: 1, ML: -1},
	} {
		at, says := c.Fault()
		require.Equal(t, figure, at)
		require.NotEmpty(t, says, figure)
	}
	at, says := Coat{Number: 1, Air: &AirWords{Humidity: new(100.0)}}.Fault()
	require.Empty(t, at+says)
}

// Who keeps tins of a material finds a piece by its lot, if it was named.
func TestCoatOfNoNamedTin(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	unnamed := clearCoat(1)
	unnamed.Coat.Lots = nil
	require.Empty(t, s.judge(KindCoat, 1, "cleared", now, unnamed).Warnings, "the shop keeps no tins of it")
	s.scene.Tins = []int{0}
	facts := s.judge(KindCoat, 1, "cleared", now, unnamed)
	require.Equal(t, []string{"No tin is named: nobody will find this piece by its lot."}, facts.Warnings)
	require.Empty(t, facts.Needs)
	require.Empty(t, s.judge(KindCoat, 1, "cleared", now, clearCoat(1)).Warnings)
	twoPart := s.materials[theClear]
	twoPart.Parts = append(slices.Clone(twoPart.Parts), coating.PartSheet{Name: "hardener", Share: 1, VolumeSolids: .5})
	s.materials[theClear], s.scene.Tins = twoPart, []int{0, 1}
	require.Equal(t, []string{"No tin of hardener is named: nobody will find this piece by its lot."},
		s.judge(KindCoat, 1, "cleared", now, clearCoat(1)).Warnings, "that of the clear is")

	s.scene.Tins, s.scene.Lots = nil, s.lots[:1]
	require.Len(t, s.judge(KindCoat, 1, "cleared", now, unnamed).Warnings, 1, "as a page knows it, by the tins that it lists")
	s.scene.Lots = s.lots[1:]
	require.Empty(t, s.judge(KindCoat, 1, "cleared", now, unnamed).Warnings, "those are of another material")
}

// The sheet's coat is 64 µm wet and takes 20 mL of this piece.
func TestACoatTakesWhatTheCombReads(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	for name, c := range map[string]struct {
		coat Coat
		want float64
	}{
		"as the sheet says":       {Coat{SheetML: 20}, 20},
		"half as thick again":     {Coat{SheetML: 20, WetUM: new(96.0)}, 30},
		"half as thick":           {Coat{SheetML: 20, WetUM: new(32.0)}, 10},
		"said, whatever the comb": {Coat{ML: 25, WetUM: new(96.0)}, 25},
		"not known":               {Coat{WetUM: new(96.0)}, 0},
	} {
		p := clearCoat(1)
		c.coat.Number, c.coat.Material, c.coat.Lots = 1, theClear, p.Coat.Lots
		p.Coat = &c.coat
		facts := s.judge(KindCoat, 1, "cleared", now, p)
		require.InDelta(t, c.want, facts.ML, 1e-9, name)
		require.InDelta(t, c.want, facts.Lots[0].ML, 1e-9, "%s: all of it out of the one part's tin", name)
	}
}

// A coat of 20 mL out of two tins of the one part: no more than it takes is booked, and none
// of a tin that it doesn't hold, as long as another is named.
func TestTwoTinsOfOnePartShareTheCoat(t *testing.T) {
	t.Parallel()
	const second = int64(12)
	const less = "Lot C-2 holds less than this takes."
	for name, c := range map[string]struct {
		left  [2]float64
		said  float64 // mL of the first tin, by a person
		want  [2]float64
		needs []string
	}{
		"the first is emptied":          {[2]float64{7, 500}, 0, [2]float64{7, 13}, nil},
		"the first is enough":           {[2]float64{500, 500}, 0, [2]float64{20, 0}, nil},
		"both are too little":           {[2]float64{7, 12}, 0, [2]float64{7, 13}, []string{less}},
		"somebody says what one gave":   {[2]float64{500, 500}, 5, [2]float64{5, 15}, nil},
		"the first is empty":            {[2]float64{0, 500}, 0, [2]float64{0, 20}, []string{"Lot C-1 is empty by the book."}},
		"the first is below its bottom": {[2]float64{-3, 500}, 0, [2]float64{0, 20}, []string{"Lot C-1 is empty by the book."}},
	} {
		s := newFilmShop(door())
		now := s.reach(t, 1, "cleared")
		s.lots = append(s.lots, Lot{ID: second, Material: theClear, Number: "C-2", AmountML: 1000, LeftML: c.left[1], MaterialName: "Clear A"})
		s.lots[0].LeftML = c.left[0]
		p := clearCoat(1)
		p.Coat.ML, p.Coat.Lots = 20, []LotUse{{Lot: clearTin, ML: c.said}, {Lot: second}}
		facts := s.judge(KindCoat, 1, "cleared", now, p)
		require.Len(t, facts.Lots, 2, name)
		for i, want := range c.want {
			require.InDelta(t, want, facts.Lots[i].ML, 1e-9, "%s: tin %d", name, i+1)
		}
		require.Equal(t, c.needs, facts.Needs, name)
	}
}

// A tin is good to the end of the day that is printed on it.
func TestTinOnItsLastDay(t *testing.T) {
	t.Parallel()
	l := Lot{Number: "C-1", LeftML: 10, ExpiresOn: monday.Truncate(24 * 60 * 60 * 1e9)}
	require.Empty(t, l.Trouble(monday, 5))
	require.NotEmpty(t, l.Trouble(monday.AddDate(0, 0, 1), 5))
}

func TestOneLotAndOneHandForACar(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door(), Details{Name: "header", Grade: 3})
	now := s.reach(t, 1, "grounded")
	s.reach(t, 2, "grounded")
	s.mustDo(t, KindCoat, 1, "grounded", now, groundCoat(groundTin))
	require.Empty(t, s.judge(KindCoat, 2, "grounded", now, groundCoat(groundTin)).Warnings)
	require.Equal(t, []string{"Another lot of ground was used on this car. One lot serves a whole car: intermix before you start."},
		s.judge(KindCoat, 2, "grounded", now, groundCoat(otherTin)).Warnings)

	s.lots[2].Part = 1
	require.Empty(t, s.judge(KindCoat, 2, "grounded", now, groundCoat(otherTin)).Warnings, "hardener may come from any tin")
	s.lots[2].Part = 0
	s.scene.Scheme.GroundLot = otherTin
	require.Equal(t, []string{"The ground is of another lot than the car's finish asks for."},
		s.judge(KindCoat, 2, "grounded", now, groundCoat(groundTin)).Warnings)

	s.mustDo(t, KindTick, 1, "grounded", now, Payload{Checks: s.checks("grounded")})
	s.mustDo(t, KindTick, 2, "grounded", now, Payload{Checks: s.checks("grounded")})
	next := now.AddDate(0, 0, 1)
	require.Equal(t, []string{"The ground is of another lot than the car's finish asks for."}, s.judge(KindTick, 1, "grained", next, Payload{}).Warnings)
	require.Equal(t, []string{"No ground lot is recorded on this piece."}, s.judge(KindTick, 2, "grained", next, Payload{}).Warnings)

	grain := Payload{Coat: &Coat{Number: 1}, Reason: "own ink"}
	s.mustDo(t, KindCoat, 1, "grained", next, grain)
	e := s.event(KindTick, 2, "grained", next, Payload{})
	e.PersonID = 8
	require.Contains(t, s.judged(e).Facts.Warnings, "Somebody grained other pieces of this car: one hand grains a whole car.")
	require.NotContains(t, fmt.Sprint(s.judge(KindTick, 2, "grained", next, Payload{}).Warnings), "hand", "the same hand")
}

func TestAirFromEntryAndSensor(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.scene.Air = &AirWords{AirC: number(20), Humidity: number(60)}
	p := clearCoat(1)
	p.Coat.Air = &AirWords{SurfaceC: number(14.5)}
	// Dew point of 20 °C and 60 %: 12.0 °C; 14.5 is 2.5 above it.
	require.Equal(t, []string{"Surface only 2.5 °C above dew."}, s.judge(KindCoat, 1, "cleared", now, p).Warnings)
	facts := s.judge(KindCoat, 1, "cleared", now, p)
	require.Equal(t, &AirWords{AirC: number(20), Humidity: number(60), SurfaceC: number(14.5)}, facts.Air, "what the sensor told is kept")
	require.Contains(t, facts.told(Metric), "air by the sensor: 20 °C, surface 14.5 °C, 60 % RH")
	p.Coat.Air.Humidity = number(40)
	require.Empty(t, s.judge(KindCoat, 1, "cleared", now, p).Warnings, "what is entered goes before the sensor")
	p.Coat.Air.AirC = number(21)
	require.Nil(t, s.judge(KindCoat, 1, "cleared", now, p).Air, "nothing of it is the sensor's")
}

// Dew point of 20 °C and 60 %: 12.0 °C. A surface at it or under is wet, and somebody says
// why a coat went on; one that is only near is warned of.
func TestAWetSurfaceAsksForAReason(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	p := clearCoat(1)
	for surface, wet := range map[float64]bool{8: true, 11.9: true, 12.1: false, 14.9: false, 15.1: false} {
		p.Coat.Air = &AirWords{AirC: number(20), Humidity: number(60), SurfaceC: number(surface)}
		facts := s.judge(KindCoat, 1, "cleared", now, p)
		require.Equal(t, wet, slices.Contains(facts.Needs, "Surface at dew point: wet."), "%g °C", surface)
		require.Equal(t, !wet && surface < 15, len(facts.Warnings) > 0, "%g °C", surface)
	}
	p.Coat.Air.SurfaceC = number(11)
	out := s.do(KindCoat, 1, "cleared", now, p)
	require.Equal(t, Refused, out.Result)
	require.Equal(t, "Surface at dew point: wet. Put it right, or say why it is so.", out.Reason)
	p.Reason = "Noticed too late"
	s.mustDo(t, KindCoat, 1, "cleared", now, p)
}

// The clear's sheet says 60–72 µm wet: 2.36–2.83 mil, since a mil is 25.4 µm. What reads
// the same in the shop's unit is the same: 2.83 mil is 71.9 µm, and 2.836 is 72.03.
func TestAWetFilmIsHeldAgainstTheSheet(t *testing.T) {
	t.Parallel()
	const mil = 25.4
	for name, c := range map[string]struct {
		units Units
		sheet coating.Range
		wet   float64
		want  []string
	}{
		"within":                    {Metric, coating.Range{Low: 60, Likely: 64, High: 72}, 65, nil},
		"at its least":              {Metric, coating.Range{Low: 60, Likely: 64, High: 72}, 60, nil},
		"at its most":               {Metric, coating.Range{Low: 60, Likely: 64, High: 72}, 72, nil},
		"too thick":                 {Metric, coating.Range{Low: 45, Likely: 50, High: 55}, 75, []string{"75 µm wet is thicker than the sheet: 45–55 µm."}},
		"too thin":                  {Metric, coating.Range{Low: 45, Likely: 50, High: 55}, 44, []string{"44 µm wet is thinner than the sheet: 45–55 µm."}},
		"too thick, in mil":         {US, coating.Range{Low: 60, Likely: 64, High: 72}, 3 * mil, []string{"3.00 mil wet is thicker than the sheet: 2.36–2.83 mil."}},
		"too thin, in mil":          {US, coating.Range{Low: 60, Likely: 64, High: 72}, 2.2 * mil, []string{"2.20 mil wet is thinner than the sheet: 2.36–2.83 mil."}},
		"rounded up, in mil":        {US, coating.Range{Low: 60, Likely: 64, High: 71.9}, 2.834 * mil, nil},
		"rounded down, in mil":      {US, coating.Range{Low: 60, Likely: 64, High: 72}, 2.36 * mil, nil}, // 59.94 µm
		"one figure, by the comb":   {Metric, coating.Exactly(50), 55, nil},                              // 50 + 10 %
		"one figure, over the comb": {Metric, coating.Exactly(50), 56, []string{"56 µm wet is thicker than the sheet: 50 µm."}},
		"one figure, under it":      {Metric, coating.Exactly(50), 44, []string{"44 µm wet is thinner than the sheet: 50 µm."}},
		"a sheet that is silent":    {Metric, coating.Range{}, 75, nil},
	} {
		s := newFilmShop(door())
		now := s.reach(t, 1, "cleared")
		s.scene.Units = c.units
		m := s.materials[theClear]
		m.WetUM = c.sheet
		s.materials[theClear] = m
		p := clearCoat(1)
		p.Coat.WetUM = &c.wet
		facts := s.judge(KindCoat, 1, "cleared", now, p)
		require.Equal(t, c.want, facts.Warnings, name)
		require.Empty(t, append(facts.Needs, facts.Asks...), "%s: the coat is on, so nothing is asked", name)
		p.Coat.WetUM = nil
		require.Empty(t, s.judge(KindCoat, 1, "cleared", now, p).Warnings, "%s: as the sheet says", name)
		p.Coat.WetUM = &c.wet
		s.mustDo(t, KindCoat, 1, "cleared", now, p)
	}
}

// Two coats of 32 are 64; a third makes 96, over the 75 of one session. 7 h later it is
// another session, on flatted clear.
func TestSessionHoldsSoMuch(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	require.Equal(t, []string{"The coat before was less than a minute old: it takes 10 min to flash off."},
		s.judge(KindCoat, 1, "cleared", now.Add(30e9), clearCoat(2)).Warnings)
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(20*60e9), clearCoat(2))
	require.Equal(t, []string{"This session has 96 µm of clear with this coat, the limit is 75 µm: let it cure, then flat it."},
		s.judge(KindCoat, 1, "cleared", now.Add(40*60e9), clearCoat(3)).Needs)
	require.Equal(t, []string{"The session before was full, and nothing was flatted since it cured: let it cure, then flat it."},
		s.judge(KindCoat, 1, "cleared", now.Add(7*3600e9), clearCoat(3)).Needs)
	scuffed := clearCoat(3)
	scuffed.Checks = []string{CheckScuffed}
	require.Empty(t, s.judge(KindCoat, 1, "cleared", now.Add(7*3600e9), scuffed).Needs)
}

// The grain of P800 is 21.8 µm, of P2500 8.4: 2.6 times.
func TestLadderLeavesNoScratch(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.cleared(t, 1)
	s.mustDo(t, KindCutPass, 1, "cut", now, pass("P800"))
	require.Contains(t, s.judge(KindCutPass, 1, "cut", now, pass("P2500")).Warnings,
		"From P800 to P2500 the grain falls to 1/2.6: scratches stay. Put a grade between.")
	require.NotContains(t, fmt.Sprint(s.judge(KindCutPass, 1, "cut", now, pass("P1500")).Warnings), "scratches")
	require.Contains(t, s.judge(KindCutPass, 1, "cut", now, pass("grey pad")).Warnings,
		"What a pass of grey pad takes off isn't known here: measure it.")
}

// The grain of P800 is 21.8 µm, of P1500 12.6, of P2000 10.3 (ISO 6344); the US 1000 has
// 10.3 as well. A coat that went over the scratches since buries them.
func TestACoarserPassIsSaidBefore(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		last, grade string
		want        []string
	}{
		{"P1500", "P800", []string{"P800 is coarser than the last pass, P1500: its scratches must come out again."}},
		{"US 1000", "P1500", []string{"P1500 is coarser than the last pass, US 1000: its scratches must come out again."}},
		{"compound", "P2000", []string{"P2000 is coarser than the last pass, compound: its scratches must come out again."}},
		{"P2000", "US 1000", nil},
		{"P2000", "P2000", nil},
		{"polish", "compound", nil},
	} {
		s := newFilmShop(door())
		now := s.cleared(t, 1)
		s.mustDo(t, KindCutPass, 1, "cut", now, pass(c.last))
		require.Equal(t, c.want, s.judge(KindCutPass, 1, "cut", now, pass(c.grade)).Warnings, "%s to %s", c.last, c.grade)
		s.mustDo(t, KindCutPass, 1, "cut", now, pass(c.grade))
	}
	s := newFilmShop(door())
	now := s.reach(t, 1, "cleared")
	s.mustDo(t, KindCoat, 1, "cleared", now, clearCoat(1))
	now = now.AddDate(0, 0, 2)
	coarser := func() bool {
		return strings.Contains(fmt.Sprint(s.judge(KindCutPass, 1, "cleared", now, pass("P1000")).Warnings), "coarser")
	}
	s.mustDo(t, KindCutPass, 1, "cleared", now, pass("P1500"))
	require.True(t, coarser())
	coat := clearCoat(2)
	coat.Reason = "as agreed"
	s.mustDo(t, KindCoat, 1, "cleared", now.Add(time.Hour), coat)
	now = now.AddDate(0, 0, 2)
	require.False(t, coarser(), "new clear is on")

	s = newFilmShop(door())
	now = s.reach(t, 1, "blocked")
	s.mustDo(t, KindCutPass, 1, "blocked", now, pass("P400"))
	require.NotContains(t, fmt.Sprint(s.judge(KindCutPass, 1, "blocked", now, pass("P240")).Warnings), "coarser")
}

// A pass of P3000 takes .5 to 1.5 µm; what finer papers take is not known. Even P2500,
// 8.4 µm, would be too far from P800, 21.8 µm: 2.6 times.
func TestPapersFinerThanTheTables(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		last, grade string
		want        []string
	}{
		{"P2500", "P3000", []string{"Whether scratches of P2500 stay after P3000 can't be judged: no table prints a grain finer than P2500. Look in two lights."}},
		{"P3000", "P5000", []string{"What a pass of P5000 takes off isn't known here: measure it.",
			"Whether scratches of P3000 stay after P5000 can't be judged: no table prints a grain finer than P2500. Look in two lights."}},
		{"P800", "P3000", []string{"From P800 to P3000 is too far, even P2500 would be: scratches stay. Put a grade between."}},
		{"P2500", "polish", nil},
		{"P3000", "compound", nil},
	} {
		s := newFilmShop(door())
		now := s.cleared(t, 1)
		s.mustDo(t, KindCutPass, 1, "cut", now, pass(c.last))
		require.Equal(t, c.want, s.judge(KindCutPass, 1, "cut", now, pass(c.grade)).Warnings, "%s to %s", c.last, c.grade)
		s.mustDo(t, KindCutPass, 1, "cut", now, pass(c.grade))
	}
}

func TestFittedWithinGlossAndColour(t *testing.T) {
	t.Parallel()
	s := newFilmShop(door())
	now := s.cleared(t, 1)
	s.mustDo(t, KindTick, 1, "cut", now, Payload{Checks: s.checks("cut")})
	now = now.AddDate(0, 0, 7)
	s.scene.Scheme.Gloss, s.scene.Scheme.Ground = &colour.Gloss{GU: 85, Angle: 20}, &colour.Lab{L: 50}
	s.scene.Colours = []colour.Sample{{Name: "header", Lab: colour.Lab{L: 50}}}
	facts := func() []string { return s.judge(KindTick, 1, "fitted", now, Payload{}).Needs }
	require.Equal(t, []string{"No gloss is measured since the clear was cut; 85 GU at 20° is wanted.",
		"No colour is measured on this piece; the car's finish names one."}, facts())

	gloss := func(gu float64, angle int) {
		s.mustDo(t, KindReading, 1, "", now, Payload{Reading: &Reading{Kind: ReadGloss, Gloss: &colour.Gloss{GU: gu, Angle: angle}}})
	}
	lab := func(l float64) {
		s.mustDo(t, KindReading, 1, "", now, Payload{Reading: &Reading{Kind: ReadColour, Lab: &colour.Lab{L: l}}})
	}
	gloss(79, 20)
	lab(54)
	// ΔE00 of two greys about L* 50 is near their difference in L*.
	d := fmt.Sprintf("%.1f", colour.DeltaE2000(colour.Lab{L: 54}, colour.Lab{L: 50}))
	require.Equal(t, []string{"Gloss is 79 GU at 20°, 85 GU at 20° is wanted.",
		"The ground is ΔE " + d + " off the car's finish, 2.0 is allowed.",
		"The ground is ΔE " + d + " off header of the same set, 1.0 is allowed."}, facts())
	require.Equal(t, Refused, s.tick(1, "fitted", now, 0).Result)

	gloss(80, 20)
	lab(50.5)
	require.Empty(t, facts(), "the last reading counts; 5 GU off is within")
	require.Equal(t, Applied, s.tick(1, "fitted", now, 0).Result)
}
