package office

import (
	"html"
	"net/http"
	"net/url"
	"regexp"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func emptyShop() shopData {
	return shopData{Settings: restoration.StockSettings(), Now: noon, Loc: time.UTC, Routes: map[int64]restoration.Route{1: stock()}}
}

func workOn(w *workpiece) restoration.Work {
	stage, _ := stock().Stage(w.Sum.NextStage)
	return restoration.Work{Car: testView().Car, Piece: w.Piece, Stage: stage}
}

func TestNothingNeedsALook(t *testing.T) {
	t.Parallel()
	require.Empty(t, lookGroups(emptyShop(), emptyShop().dates(), false))
}

func TestLookGroupsMostUrgentFirst(t *testing.T) {
	t.Parallel()
	d := emptyShop()
	car := testView().Car
	car.PromisedOn = time.Date(2026, 3, 20, 0, 0, 0, 0, time.UTC)
	d.Roll.Cars = []restoration.CarRoll{{Car: car, Roll: restoration.Roll{Left: 600}}}
	held := opened(t, "glove-box door", restoration.Details{})
	held.does(restoration.Event{Kind: restoration.KindHold, At: noon.AddDate(0, 0, -4), Payload: restoration.Payload{Reason: "hinge pin"}})
	shut := opened(t, "ash tray", restoration.Details{})
	shut.ticks(1, noon.Add(-26*time.Hour))
	d.Urgent = []restoration.Work{workOn(held), workOn(shut)}
	d.People = []restoration.Person{{Name: "Ida Marl", LockedAt: noon.Add(-time.Hour)}, {Name: "gone", LockedAt: noon, LeftAt: noon}}
	d.Refused = []restoration.Entry{{Piece: "cap", CarWO: "26-014", Person: "Tom Ferrow", Device: "bench 2", Stage: "Cut",
		Event:   restoration.Event{ID: newID(), Kind: restoration.KindTick, PieceID: held.ID, At: noon.Add(-3 * time.Hour), Arrived: noon},
		Outcome: restoration.Outcome{Result: restoration.Refused, Reason: "Not yet.", AllowedFrom: noon.Add(20 * time.Hour)}}}
	groups := lookGroups(d, d.dates(), false)
	var words []string
	for _, g := range groups {
		words = append(words, g.Word)
		require.Len(t, g.Items, 1, g.Word)
	}
	require.Equal(t, []string{"Refused entries", "Late cars", "Recoat windows", "Held", "Locked out"}, words)
	refused := groups[0].Items[0]
	require.Equal(t, "cap: Refused: Ticked cut. Not yet. Allowed from Sat 28 Mar 2026, 08:00.", refused.Text)
	require.Equal(t, "Tom Ferrow · bench 2 · Fri 27 Mar 2026, 09:00 · arrived 3 h later", refused.Note)
	require.Equal(t, d.Refused[0].Event.ID.String(), refused.Settle[0].Refused)
	require.Equal(t, "1936 Brennick Eight: 7 days late", groups[1].Items[0].Text)
	require.Equal(t, "ash tray: the window for primed shut 2 h ago", groups[2].Items[0].Text)
	require.Equal(t, "for 4 days · 9.5 h stand still", groups[3].Items[0].Note)
	require.Equal(t, "Ida Marl is locked out after too many wrong tries", groups[4].Items[0].Text)
}

// A step that two people ticked leads to where the second's hours are corrected.
func TestHoursOfTwoTicksNeedALook(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1938 Wexcombe Twelve"}, 1)
	p := pieces[0]
	stage, _ := stock().Stage(p.Sum.NextStage)
	tick := restoration.Event{Kind: restoration.KindTick, CarID: p.CarID, PieceID: p.ID, StepID: p.Sum.NextStep, PersonID: f.ida.ID,
		Payload: restoration.Payload{Hours: new(restoration.Minutes(60))}}
	for _, c := range stage.Checks {
		tick.Checks = append(tick.Checks, c.Key)
	}
	f.enter(restoration.Applied, tick)
	tick.PersonID, tick.Hours = f.tom.ID, new(restoration.Minutes(45))
	f.enter(restoration.Already, tick)
	page := f.page("/office")
	require.Contains(t, page.text(), p.Title()+": Ida Marl and Tom Ferrow both ticked stripped; hours of both count")
	require.Contains(t, page.text(), "1 h and 0.75 h")
	links := regexp.MustCompile(`href="(` + timesheetPath + `/[^"]+)"`).FindStringSubmatch(f.get("/office").body)
	require.NotNil(t, links)
	path := html.UnescapeString(links[1])
	require.Contains(t, f.page(path).text(), "Tom Ferrow")
	form := url.Values{"id": {newID().String()}, "was": {"45 min"}, "hours": {"0"}, "reason": {"the same hour"}}
	a := f.post(path, form)
	require.Equal(t, http.StatusSeeOther, a.code, a.body)
	require.Contains(t, a.to, sheetCarKey+"="+car.WorkOrder)
	require.NotContains(t, f.page("/office").text(), "both ticked")
}

// Entries of one batch or with one cause are one line that opens; what went through since
// is another, settled as a whole.
func TestRefusedEntriesOfAKindAreOneLine(t *testing.T) {
	t.Parallel()
	d := emptyShop()
	batch := newID()
	add := func(car, stage, reason string, batch restoration.ID, through bool, allowed time.Time) {
		d.Refused = append(d.Refused, restoration.Entry{Piece: "cap", CarWO: car, Person: "Tom Ferrow", Stage: stage, Through: through,
			Event:   restoration.Event{ID: newID(), Kind: restoration.KindTick, PieceID: newID(), At: noon, Arrived: noon, Payload: restoration.Payload{Batch: batch}},
			Outcome: restoration.Outcome{Result: restoration.Refused, Reason: reason, AllowedFrom: allowed}})
	}
	add("26-014", "Cleared", "Still hardening.", batch, false, noon.Add(2*time.Hour))
	add("26-014", "Cut", "Not in hand.", restoration.ID{}, false, time.Time{})
	add("26-014", "Cleared", "Still hardening.", batch, false, noon.Add(140*time.Minute))
	add("26-015", "Cut", "Not in hand.", restoration.ID{}, false, time.Time{})
	add("26-014", "Cut", "Not in hand.", restoration.ID{}, true, time.Time{})
	add("26-014", "Fitted", "No clear.", restoration.ID{}, false, time.Time{})
	add("26-014", "Cleared", "Still hardening.", restoration.ID{}, true, time.Time{})
	items := d.refusedItems()
	require.Len(t, items, 4)
	for i, want := range []struct {
		text, car    string
		inside, sets int
	}{
		{"2 pieces refused: ticked cleared. Still hardening. All are allowed from 14:20.", "26-014", 2, 2},
		{"2 pieces refused: ticked cut. Not in hand.", "", 2, 2},
		{"cap: Refused: Ticked fitted. No clear.", "26-014", 0, 1},
		{"2 refused entries went through since.", "26-014", 2, 2},
	} {
		require.Equal(t, want.text, items[i].Text)
		require.Equal(t, want.car, items[i].Car)
		require.Len(t, items[i].Inside, want.inside)
		require.Len(t, items[i].Settle, want.sets)
	}
	require.Equal(t, "cap: Ticked cleared", items[0].Inside[0].Text, "the reason is said above")
	require.Equal(t, "cap: Refused: Ticked cut. Not in hand. Went through since.", items[3].Inside[0].Text)
	require.Equal(t, d.Refused[4].Event.ID.String(), items[3].Settle[0].Refused)
}

func TestLookIsCutShortAndOpened(t *testing.T) {
	t.Parallel()
	d := emptyShop()
	for range 5 {
		w := opened(t, "cap", restoration.Details{})
		w.does(restoration.Event{Kind: restoration.KindHold, Payload: restoration.Payload{Reason: "lost"}})
		d.Urgent = append(d.Urgent, workOn(w))
	}
	short, whole := lookGroups(d, d.dates(), false), lookGroups(d, d.dates(), true)
	require.Len(t, short[0].Items, 3)
	require.Equal(t, 2, short[0].More)
	require.Len(t, whole[0].Items, 5)
	require.Zero(t, whole[0].More)
}

func TestSetCheckNamesEachCarOnce(t *testing.T) {
	t.Parallel()
	d := emptyShop()
	d.Roll.Cars = []restoration.CarRoll{{Car: testView().Car}}
	for i, scheme := range []string{"", "", "Red oak", "Red oak"} {
		w := opened(t, string(rune('a'+i))+" rail", restoration.Details{Set: "rails", Scheme: scheme, Order: i})
		d.Mixed = append(d.Mixed, w.Piece)
	}
	items := d.setItems()
	require.Len(t, items, 1)
	require.Equal(t, "26-014", items[0].Car)
	require.Contains(t, items[0].Text, "c rail is in the scheme Red oak")
	require.Equal(t, "and 1 more finding", items[0].Note)
}

func TestWhoHasWhat(t *testing.T) {
	t.Parallel()
	d := emptyShop()
	w := workOn(opened(t, "dash", restoration.Details{}))
	w.HandBy, w.HandSince, w.Logged, w.Planned = 3, noon.Add(-2*time.Hour), 30, restoration.Hours3(.5, 1, 2)
	d.Urgent = []restoration.Work{w}
	d.People = []restoration.Person{{ID: 1, Name: "Ada", Role: restoration.RoleOwner}, {ID: 2, Name: "Ida", Role: restoration.RoleTechnician},
		{ID: 3, Name: "Tom", Role: restoration.RoleTechnician}, {ID: 4, Name: "Old", Role: restoration.RoleTechnician, LeftAt: noon}}
	require.Equal(t, []handLine{
		{Name: "Ida"},
		{Name: "Tom", Work: []handWork{{Piece: "dash", Href: piecePath(w.Piece.ID), Stage: "stripped", Car: "26-014", Since: "10:00", Logged: 30, Planned: 60}}},
	}, handLines(d))
}
