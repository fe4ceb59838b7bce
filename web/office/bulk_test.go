package office

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func bulkForm1(more url.Values) *form {
	v := url.Values{"id": {newID().String()}, "piece": {newID().String(), newID().String()}}
	for name, values := range more {
		v[name] = values
	}
	return &form{values: v}
}

func TestParseBulk(t *testing.T) {
	t.Parallel()
	words := func(s string) *string { return &s }
	left, fixed, grade, route := restoration.ZoneLeft, restoration.MountFixed, 4, int64(1)
	for name, tc := range map[string]struct {
		typed url.Values
		want  bulkChange
	}{
		"set":       {url.Values{"to_set": {" doors "}}, bulkChange{Change: restoration.PieceChange{Set: words("doors")}}},
		"clear set": {url.Values{"to_set": {"-"}}, bulkChange{Change: restoration.PieceChange{Set: words("")}}},
		"choices": {url.Values{"to_zone": {"left"}, "to_mounting": {"fixed"}, "to_grade": {"4"}, "to_route": {"1"}},
			bulkChange{Change: restoration.PieceChange{Zone: &left, Mounting: &fixed, Grade: &grade, RouteID: &route}}},
		"place":   {url.Values{"to_place": {"rack 3"}}, bulkChange{Place: words("rack 3")}},
		"hold":    {url.Values{"to_hold": {"hinges"}}, bulkChange{Hold: "hinges"}},
		"release": {url.Values{"release": {"on"}}, bulkChange{Release: true}},
		"remove":  {url.Values{"remove": {"on"}}, bulkChange{Remove: true}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := bulkForm1(tc.typed)
			b := parseBulk(f, []restoration.Route{stock()})
			require.True(t, f.ok(), f.faults)
			require.Len(t, b.Pieces, 2)
			b.ID, b.Pieces = restoration.ID{}, nil
			require.Equal(t, tc.want, b)
		})
	}
}

func TestParseBulkSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	for name, tc := range map[string]struct {
		typed url.Values
		field string
		says  string
	}{
		"no piece":         {url.Values{"piece": nil, "to_set": {"doors"}}, "pieces", "No piece is selected"},
		"nothing to do":    {url.Values{}, "to_set", "Nothing is to be changed"},
		"hold and release": {url.Values{"to_hold": {"x"}, "release": {"on"}}, "to_hold", "at once"},
		"no such route":    {url.Values{"to_route": {"99"}}, "to_route", "one of the shop's routes"},
		"no such zone":     {url.Values{"to_zone": {"roof"}}, "to_zone", "Choose one"},
		"grade 7":          {url.Values{"to_grade": {"7"}}, "to_grade", "1 to 6"},
		"broken id":        {url.Values{"piece": {"1"}, "to_set": {"x"}}, "", "damaged"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := bulkForm1(tc.typed)
			parseBulk(f, []restoration.Route{stock()})
			require.Contains(t, f.error(tc.field), tc.says)
		})
	}
}

// A form that is sent twice enters the same events.
func TestBulkEventsFollowFromTheForm(t *testing.T) {
	t.Parallel()
	f := bulkForm1(url.Values{"to_place": {"rack"}, "to_hold": {"hinges"}})
	v := visit{Person: restoration.Person{ID: 1}, Now: noon}
	first, second := parseBulk(f, nil).events(5, v), parseBulk(f, nil).events(5, v)
	require.Equal(t, first, second)
	ids := map[restoration.ID]bool{}
	for _, e := range first {
		ids[e.ID] = true
		require.Equal(t, int64(5), e.CarID)
	}
	require.Len(t, ids, 4)
}

// Taking pieces off the list is asked about first, and says what goes with them.
func TestRemovalAsksFirst(t *testing.T) {
	t.Parallel()
	f := openFloor(t)
	car, pieces := f.takeIn(restoration.Car{Name: "1936 Brennick Eight"}, 0)
	v := url.Values{"id": {newID().String()}, "piece": {pieces[0].ID.String()}, "remove": {askFirst}}
	a := f.post(carPath(car.WorkOrder)+"/pieces/change", v)
	require.Contains(t, a.text(), "1 piece would no longer count for the car: "+hoursOf(pieces[0].Sum.Left)+" left go with it.")
	require.Len(t, f.pieces(car), len(pieces))
	v.Set("remove", "yes")
	require.Equal(t, carPath(car.WorkOrder)+"#pieces", f.post(carPath(car.WorkOrder)+"/pieces/change", v).to)
	require.Len(t, f.pieces(car), len(pieces)-1)
}

// The notice counts what happened, not what was asked for.
func TestBulkNoticeCountsWhatWasTakenOff(t *testing.T) {
	t.Parallel()
	b := parseBulk(bulkForm1(url.Values{"remove": {"on"}}), nil)
	events := b.events(5, visit{Now: noon})
	require.Len(t, events, 2)
	require.Equal(t, restoration.KindRemove, events[0].Kind)
	done, no := restoration.Outcome{Result: restoration.Applied}, restoration.Outcome{Result: restoration.Refused, Reason: "The car is delivered."}
	require.Contains(t, bulkNotice(2, events, []restoration.Outcome{done, done}).Text, "2 pieces taken off the list.")
	require.Equal(t, "1 entry was refused: The car is delivered.", bulkNotice(2, events, []restoration.Outcome{done, no}).Text)
}

func TestBackToStaysOnThePage(t *testing.T) {
	t.Parallel()
	for to, want := range map[string]string{
		"/office/cars/26-014?now=held": "/office/cars/26-014?now=held",
		"/office/cars/26-014":          "/office/cars/26-014",
		"https://elsewhere.example/":   "/office/cars/26-014",
		"//elsewhere.example":          "/office/cars/26-014",
		"":                             "/office/cars/26-014",
	} {
		require.Equal(t, want, backTo(&form{values: url.Values{"back": {to}}}, "/office/cars/26-014"))
	}
}
