package ui

import (
	"fmt"
	"net/url"
	"time"

	"scumble/internal/restoration"
)

// The fixtures feed the gallery and the tests: every component in every state.
// Shop, people and marques are invented.

var (
	walnut   = NewScheme("#9a6a3c", "#3f2413")
	mahogany = NewScheme("#8a3f24", "#35120a")
	blonde   = NewScheme("#c99a5b", "#7a4a1e")
)

func fixtureSchemes() []Scheme { return []Scheme{walnut, mahogany, blonde} }

// fixtureNow is a Tuesday afternoon; the gallery reads no clock.
func fixtureNow() time.Time { return time.Date(2026, 3, 24, 14, 30, 0, 0, time.UTC) }

const longName = "garnish moulding, upper, with the quarter-light channel, outer"

// fixtureSaloon is a car in the middle of its work: 41 pieces at every stage,
// some waiting, held, sent back, fixed in the car.
func fixtureSaloon(href string) []PlanPiece {
	p := pieceList{href: href}
	p.add(restoration.ZoneFront, "",
		piece{"windscreen moulding", "left", .045, restoration.LookCut}, piece{"windscreen moulding", "right", .045, restoration.LookCleared},
		piece{"header rail", "", .05, restoration.LookGrounded}, piece{"demister rail", "", .018, restoration.LookGrained},
		piece{"instrument panel", "", .38, restoration.LookGrounded}, piece{"glove-box door", "", .07, restoration.LookGrained},
		piece{"ash tray", "", .008, restoration.LookStripped}, piece{"clock bezel", "", .006, restoration.LookFitted}, piece{"speaker grille", "", .02, restoration.LookPrimed})
	for _, side := range []string{"left", "right"} {
		z := restoration.Zone(side)
		p.add(z, side,
			piece{"garnish moulding, front door", "front door", .06, restoration.LookFitted}, piece{"garnish moulding, rear door", "rear door", .048, restoration.LookCut},
			piece{"garnish moulding, quarter", "quarter", .03, restoration.LookGrained},
			piece{"capping, front door", "front door", .04, restoration.LookPrimed}, piece{"capping, rear door", "rear door", .034, restoration.LookGrounded},
			piece{"door panel, front", "front door", .16, restoration.LookBlocked}, piece{"door panel, rear", "rear door", .13, restoration.LookRepaired},
			piece{"windscreen pillar", "front door", .035, restoration.LookCleared}, piece{"centre pillar cap", "rear door", .012, restoration.LookGrained},
			piece{"quarter panel", "quarter", .08, restoration.LookGrounded}, piece{"arm-rest escutcheon", "rear door", .004, restoration.LookBare},
			piece{"window-winder knob", "front door", .003, restoration.LookStripped})
	}
	p.add(restoration.ZoneRear, "",
		piece{"back-window moulding", "", .075, restoration.LookStripped}, piece{"parcel shelf", "", .22, restoration.LookBlocked},
		piece{"pillar cap", "left", .012, restoration.LookPrimed}, piece{"pillar cap", "right", .012, restoration.LookGrained},
		piece{"rear ash tray", "", .007, restoration.LookBare})
	p.add(restoration.ZoneLoose, "", piece{"gear-lever knob", "", .005, restoration.LookOther}, piece{"tool-box lid", "", .05, restoration.LookRepaired}, piece{"spare escutcheon", "", .004, restoration.LookBare})
	p.list[4].Fixed = true
	p.list[5].Waiting = "16:40"
	p.list[6].Trouble = "held"
	p.list[9].Waiting = "Fri 07:40"
	p.list[14].Trouble = "sent back"
	p.list[26].Trouble = "late"
	p.list[26].Waiting = "Wed 09:15"
	return p.list
}

// fixtureMany is more than any car has, under names that strain the plan.
func fixtureMany(href string) []PlanPiece {
	names := []string{
		longName, "Türbrüstung mit Schlüssellochrosette, übergroß", "moulding", "ash tray", "لوحة العدادات اليسرى الأمامية",
		"instrument panel", "door panel", "knob", "Anschlußstück für die Hutablage hinten", "windscreen pillar",
		"תיבת כפפות עם מנעול", "Pneumonoultramicroscopicsilicovolcanoconiosis-escutcheon",
	}
	zones := []restoration.Zone{restoration.ZoneFront, restoration.ZoneLeft, restoration.ZoneRight, restoration.ZoneRear, restoration.ZoneLoose}
	places := []string{"front door", "rear door", "quarter", ""}
	var list []PlanPiece
	for i := range 300 {
		p := PlanPiece{
			ID: fmt.Sprintf("m%d", i), Name: names[i%len(names)], Zone: zones[i%len(zones)], Place: places[i/5%len(places)],
			AreaM2: float64(i%23) * .011, Look: restoration.Looks()[i*7%len(restoration.Looks())], Fixed: i%31 == 0,
		}
		if href != "" {
			p.Href = fmt.Sprintf("%s/%s", href, p.ID)
		}
		switch i % 17 {
		case 3:
			p.Waiting = "Fri 07:40"
		case 5:
			p.Trouble = "sent back to grained"
		}
		list = append(list, p)
	}
	return list
}

type piece struct {
	name, place string
	area        float64
	look        restoration.Look
}

type pieceList struct {
	href string
	list []PlanPiece
}

func (l *pieceList) add(z restoration.Zone, side string, pieces ...piece) {
	for i, p := range pieces {
		id := fmt.Sprintf("p%d", len(l.list)+1)
		n := PlanPiece{ID: id, Name: p.name, Zone: z, Side: side, Place: p.place, Order: i, AreaM2: p.area, Look: p.look}
		if side == "" && (p.place == "left" || p.place == "right") {
			n.Side, n.Place = p.place, ""
		}
		if l.href != "" {
			n.Href = l.href + "/" + id
		}
		l.list = append(l.list, n)
	}
}

func fixtureStrip() HoursStripProps {
	return HoursStripProps{
		Label: "Hours of 26-014", Scheme: walnut, Done: 93.5,
		Segments: []StripSegment{
			{restoration.LookCut, "cut", 34.25, 0}, {restoration.LookCleared, "cleared", 21, 0}, {restoration.LookGrained, "grained", 24.5, 6}, {restoration.LookGrounded, "grounded", 9.75, 0},
			{restoration.LookBlocked, "blocked", 16, 0}, {restoration.LookPrimed, "primed", 7, 0}, {restoration.LookStripped, "stripped", 6, 0}, {restoration.LookFitted, "fitted", 6, 0},
		},
	}
}

// fixtureStrips are bars to be compared: half done, nearly done, not begun,
// nothing to do, one stage far longer than the rest.
func fixtureStrips() []HoursStripProps {
	half := fixtureStrip()
	nearly := HoursStripProps{Label: "Hours of 26-009", Scheme: blonde, Done: 96, Segments: []StripSegment{{restoration.LookCut, "cut", 12, 0}, {restoration.LookFitted, "fitted", 4.5, 0}}}
	fresh := HoursStripProps{Label: "Hours of 26-021", Scheme: mahogany, Segments: []StripSegment{{restoration.LookCut, "cut", 51, 0}, {restoration.LookGrained, "grained", 40, 0}, {restoration.LookStripped, "stripped", 22.75, 0}}}
	none := HoursStripProps{Label: "Hours of 26-022", Scheme: walnut}
	tiny := HoursStripProps{Label: "Hours of 25-098", Scheme: mahogany, Done: 180, Segments: []StripSegment{{restoration.LookOther, "chrome plating", .5, .25}}}
	list := []HoursStripProps{half, nearly, fresh, none, tiny}
	for i := range list {
		list[i].Scale = 212
		list[i].Compact = true
	}
	return list
}

func fixtureAxes() []PromiseAxisProps {
	now := fixtureNow()
	day := 24 * time.Hour
	start := now.Add(-40 * day)
	return []PromiseAxisProps{
		{Now: now},
		{Start: start, Now: now, Promised: now.Add(12 * day)},
		{Start: start, Now: now, Promised: now.Add(12 * day), Early: now.Add(5 * day), Late: now.Add(15 * day)},
		{Start: start, Now: now, Promised: now.Add(-3 * day)},
		{Start: start, Now: now, Promised: now},
		{Start: start, Now: now, Promised: now.Add(-3 * day), Done: true},
	}
}

func fixtureNotices() []Notice {
	return []Notice{
		{Kind: NoticeInfo, Text: "Mira Okonjo ticked grained on the glove-box door two minutes ago."},
		{Kind: NoticeDone, Text: "The progress link is made.", Href: "#link", Link: "Show it"},
		{Kind: NoticeCaution, Text: "Two people have grained pieces of this car. One hand should grain a whole car."},
		{Kind: NoticeError, Text: "Hours can't be below 0. Write the hours worked, for example 1.25."},
		{Kind: NoticeOffline, Text: "No connection. What you enter is kept on this tablet and sent when it is back."},
		{Kind: NoticeWarned, Text: "Ash tray: coat 2 on cleared. Surface only 2.4 °C above dew."},
	}
}

func fixtureFields() []FieldProps {
	return []FieldProps{
		{Name: "g-order", Label: "Work order", Value: "26-014", Required: true, Width: "short", Hint: "Year and running number."},
		{Name: "g-owner", Label: "Customer", Value: "מרים בן-שושן", Required: true},
		{Name: "g-rate", Label: "Rate", Value: "eighty", Unit: "an hour", Width: "short", Error: "This is no amount. Write figures, for example 80 or 80.50."},
		{Name: "g-day", Label: "Promised for", Type: "date", Value: "2026-03-28", Width: "mid"},
		{Name: "g-note", Label: "Note", Type: "textarea", Value: "Two lines,\nkept as typed.", Hint: "Only the shop sees it."},
	}
}

func fixtureAddress() *url.URL {
	return &url.URL{Path: "/gallery", RawQuery: "zone=left&sort=piece"}
}
