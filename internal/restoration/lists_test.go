package restoration

import (
	"bytes"
	"crypto/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

// job makes a piece whose next stage stands at a position.
func job(n int, change func(*WorkKey)) WorkKey {
	k := WorkKey{Car: &Car{ID: 1, WorkOrder: "26-014", State: CarInWork}, PieceID: testID('p', n), RouteID: 1,
		Name: string(rune('a' + n)), Set: "front", NextPosition: 3, Left: 60}
	if change != nil {
		change(&k)
	}
	return k
}

func TestReadyNowPutsFirstWhatFreesMost(t *testing.T) {
	t.Parallel()
	now := monday
	keys := []WorkKey{
		job(0, nil),
		job(1, func(k *WorkKey) { k.LateFrom = now.Add(5 * time.Hour) }),
		job(2, func(k *WorkKey) { k.NextPosition = 2 }),                    // four wait for it at 3
		job(3, func(k *WorkKey) { k.GateFrom = now.Add(time.Hour) }),       // waits
		job(4, func(k *WorkKey) { k.HeldSince = now; k.NextPosition = 3 }), // held: doesn't count
		job(5, func(k *WorkKey) { k.HandBy = 7; k.NextPosition = 9 }),
		job(6, func(k *WorkKey) { k.Car.ID = 2; k.Car.WorkOrder = "26-001"; k.Car.PromisedOn = now.AddDate(0, 0, -1) }),
		job(7, func(k *WorkKey) { k.Car.ID = 3; k.Car.State = CarOnHold; k.Car.HeldSince = now.Add(-time.Hour) }),
		job(8, func(k *WorkKey) { k.LateFrom = now.Add(-time.Hour); k.Left = 30 }),
		job(9, func(k *WorkKey) { k.Car.ID = 4; k.Car.State = CarDelivered }),
		job(10, func(k *WorkKey) { k.Car.ID = 5; k.Left = 15; k.SentBack = true }),
		job(11, func(k *WorkKey) { k.Car.ID = 6; k.Car.State = CarSurvey; k.Car.PromisedOn = now.AddDate(0, 0, -9) }),
	}
	var got []string
	for _, i := range ReadyNow(keys, now) {
		require.True(t, i.Ready(now))
		got = append(got, i.Name+": "+i.Reason(now))
	}
	require.Equal(t, []string{
		"b: next coat within 5 h",
		"c: 4 pieces wait for it", // a, b, d and i
		"g: the car is late",
		"a: ",
		"i: too late for the next coat: scuff first",
		"k: sent back",
		"l: the car is late", // in survey: its work has not begun
	}, got)
	require.Equal(t, []string{"d"}, namesOf(WaitingFor(keys, now)))
	require.Equal(t, []string{"h", "e"}, namesOf(OnHold(keys, now)), "longest first, with the car or alone")
	require.Equal(t, []string{"f"}, namesOf(InHand(keys, 7)))
}

func namesOf(items []ListItem) (names []string) {
	for _, k := range items {
		names = append(names, k.Name)
	}
	return names
}

func TestInHandShowsOnesOwnFirst(t *testing.T) {
	t.Parallel()
	keys := []WorkKey{
		job(0, func(k *WorkKey) { k.HandBy = 1; k.HandSince = monday }),
		job(1, func(k *WorkKey) { k.HandBy = 2; k.HandSince = monday.Add(time.Hour) }),
	}
	require.Equal(t, []string{"b", "a"}, namesOf(InHand(keys, 2)))
	require.Equal(t, []string{"a", "b"}, namesOf(InHand(keys, 3)))
}

func TestCarByCar(t *testing.T) {
	t.Parallel()
	of := func(n int, order string, state CarState, days int) WorkKey {
		return job(n, func(k *WorkKey) {
			k.Car.WorkOrder, k.Car.State = order, state
			if days != 0 {
				k.Car.PromisedOn = monday.AddDate(0, 0, days)
			}
		})
	}
	keys := []WorkKey{
		of(0, "26-001", CarSurvey, -3),
		of(1, "26-002", CarInWork, 0), // no date: last of those in work
		of(2, "26-003", CarInWork, 9),
		of(3, "26-004", CarInWork, 5),
		of(4, "26-005", CarOnHold, 1),
		of(6, "26-003", CarInWork, 9),
		of(5, "26-006", CarInWork, 5),
	}
	require.Equal(t, []string{"d", "f", "c", "g", "b", "e", "a"}, namesOf(CarByCar(keys)))
	slices.Reverse(keys)
	require.Equal(t, []string{"d", "f", "c", "g", "b", "e", "a"}, namesOf(CarByCar(keys)))
}

// Whatever the pieces are like: each stands in one list or in somebody's hand, and
// no list changes with the order in which the pieces come.
func TestLawLists(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		var keys []WorkKey
		hour := func(name string) time.Time {
			return rapid.SampledFrom([]time.Time{{}, monday.Add(-time.Hour), monday.Add(time.Hour), monday.Add(48 * time.Hour)}).Draw(t, name)
		}
		for n := range rapid.IntRange(0, 20).Draw(t, "pieces") {
			keys = append(keys, job(n, func(k *WorkKey) {
				k.Car.ID = int64(rapid.IntRange(1, 3).Draw(t, "car"))
				k.Car.State = rapid.SampledFrom([]CarState{CarInWork, CarInWork, CarOnHold}).Draw(t, "state")
				k.Set = rapid.SampledFrom([]string{"", "front", "doors"}).Draw(t, "set")
				k.NextPosition = rapid.IntRange(0, 3).Draw(t, "position")
				k.HeldSince, k.GateFrom, k.LateFrom = hour("held"), hour("gate"), hour("late")
				k.HandBy = rapid.SampledFrom([]int64{0, 0, 7}).Draw(t, "hand")
			}))
		}
		ready := ReadyNow(keys, monday)
		workedAt := slices.DeleteFunc(InHand(keys, 7), func(k ListItem) bool { return k.Footing(monday) != FootWorkable })
		require.Len(t, keys, len(ready)+len(WaitingFor(keys, monday))+len(OnHold(keys, monday))+len(workedAt))
		turned := slices.Clone(keys)
		slices.Reverse(turned)
		for i, again := range ReadyNow(turned, monday) {
			require.Equal(t, ready[i].Name, again.Name)
			require.Equal(t, ready[i].Frees, again.Frees)
		}
		require.Equal(t, namesOf(WaitingFor(keys, monday)), namesOf(WaitingFor(turned, monday)))
		require.Equal(t, namesOf(OnHold(keys, monday)), namesOf(OnHold(turned, monday)))
		require.Equal(t, namesOf(InHand(keys, 7)), namesOf(InHand(turned, 7)))
	})
}

func TestSetCheck(t *testing.T) {
	t.Parallel()
	plain := Route{ID: 2, Name: "Leather", Stages: []Stage{{Key: "covered", Look: LookOther}}}
	grained := StockRoute()
	routes := map[int64]Route{1: grained, 2: plain}
	piece := func(n int, d Details, route int64) Piece {
		d.Zone, d.Order = ZoneFront, n
		return Piece{ID: testID('p', n), RouteID: route, Details: d}
	}
	for name, tt := range map[string]struct {
		pieces []Piece
		want   []string
	}{
		"all alike": {[]Piece{piece(1, Details{Name: "panel"}, 1), piece(2, Details{Name: "header"}, 1)}, nil},
		"neighbour not grained": {[]Piece{piece(1, Details{Name: "panel"}, 1), piece(2, Details{Name: "header"}, 2)},
			[]string{"header: not grained, though it stands beside panel, which is"}},
		"the reason is given": {[]Piece{piece(1, Details{Name: "panel"}, 1), piece(2, Details{Name: "header", SchemeReason: "leather as ordered"}, 2)}, nil},
		"neighbour in another scheme": {[]Piece{piece(1, Details{Name: "panel"}, 1), piece(2, Details{Name: "header", Scheme: "Walnut"}, 1)},
			[]string{"header: in the scheme Walnut, but its neighbour panel is in the car's scheme"}},
		"odd one in a set": {[]Piece{piece(1, Details{Name: "a", Set: "doors"}, 1), piece(2, Details{Name: "b", Set: "doors"}, 1),
			func() Piece {
				p := piece(3, Details{Name: "c", Set: "doors", Scheme: "Walnut"}, 1)
				p.Zone = ZoneRear
				return p
			}()},
			[]string{"c: in the scheme Walnut, but the rest of its set doors is not"}},
		"removed pieces don't count": {[]Piece{piece(1, Details{Name: "panel"}, 1), func() Piece {
			p := piece(2, Details{Name: "header"}, 2)
			p.Removed = monday
			return p
		}()}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			var got []string
			for _, f := range SetCheck(tt.pieces, routes) {
				got = append(got, f.Piece+": "+f.Text)
			}
			require.Equal(t, tt.want, got)
		})
	}
}

func TestCalendarBetween(t *testing.T) {
	t.Parallel()
	cal := StockSettings().Calendar // Monday to Friday, 08:00 to 17:00
	cal.Holidays = []string{"2026-03-04"}
	at := func(day, hour int) time.Time { return time.Date(2026, 3, day, hour, 0, 0, 0, time.UTC) }
	for name, tt := range map[string]struct {
		from, to time.Time
		want     Minutes
	}{
		"within a day":       {at(2, 9), at(2, 11), 120},
		"over the night":     {at(2, 16), at(3, 9), 120},
		"over a holiday":     {at(3, 16), at(5, 9), 120},
		"over the week-end":  {at(6, 16), at(9, 9), 120},
		"before the opening": {at(2, 0), at(2, 8), 0},
		"the wrong way":      {at(3, 9), at(2, 9), 0},
		"a whole week":       {at(9, 0), at(16, 0), 5 * 9 * 60},
	} {
		require.Equal(t, tt.want, cal.Between(tt.from, tt.to, time.UTC), name)
	}
	require.Equal(t, at(9, 8), cal.NextOpen(at(6, 18), time.UTC))
	require.Equal(t, at(2, 9), cal.NextOpen(at(2, 9), time.UTC))
	require.Equal(t, at(2, 9), Calendar{}.NextOpen(at(2, 9), time.UTC), "never open")
}

func TestCalendarLaws(t *testing.T) {
	t.Parallel()
	cal := StockSettings().Calendar
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string) time.Time {
			return monday.Add(time.Duration(rapid.IntRange(0, 60*24*40).Draw(t, name)) * time.Minute)
		}
		a, b := draw("a"), draw("b")
		if b.Before(a) {
			a, b = b, a
		}
		mid := a.Add(b.Sub(a) / 2).Truncate(time.Minute)
		require.Equal(t, cal.Between(a, b, time.UTC), cal.Between(a, mid, time.UTC)+cal.Between(mid, b, time.UTC), "adds up")
		open := cal.NextOpen(a, time.UTC)
		require.False(t, open.Before(a))
		require.Zero(t, cal.Between(a, open, time.UTC), "nothing is worked before the shop opens")
	})
}

func TestOutlook(t *testing.T) {
	t.Parallel()
	cal := StockSettings().Calendar
	friday := time.Date(2026, 3, 6, 0, 0, 0, 0, time.UTC) // Monday 09:00 leaves 44 h a head
	car := func(id int64, promised time.Time, hours Minutes) CarRoll {
		return CarRoll{Car: Car{ID: id, State: CarInWork, PromisedOn: promised}, Roll: Roll{Left: hours * 60}}
	}
	judge := func(hands int, now time.Time, cars ...CarRoll) map[int64]Lateness {
		return Outlook(cars, hands, cal, now, time.UTC)
	}
	require.Equal(t, OnTime, judge(1, monday, car(1, friday, 44))[1])
	require.Equal(t, Tight, judge(1, monday, car(1, friday, 45))[1])
	require.Equal(t, OnTime, judge(2, monday, car(1, friday, 45))[1])
	require.Equal(t, Tight, judge(1, friday.Add(23*time.Hour), car(1, friday, 1))[1], "the day itself still counts")
	require.Equal(t, Late, judge(9, friday.Add(24*time.Hour), car(1, friday, 1))[1])
	require.Equal(t, OnTime, judge(1, monday, car(1, time.Time{}, 999))[1], "nothing promised")
	require.Equal(t, OnTime, judge(1, friday.AddDate(0, 1, 0), car(1, friday, 0))[1], "nothing left")

	// One pair of hands for two cars: 30 h by Friday, then 60 h by the Friday after,
	// when 44 + 45 = 89 h have passed.
	two := judge(1, monday, car(2, friday.AddDate(0, 0, 7), 60), car(1, friday, 30))
	require.Equal(t, OnTime, two[1])
	require.Equal(t, Tight, two[2])
	same := judge(1, monday, car(1, friday, 30), car(2, friday, 30))
	require.Equal(t, Tight, same[1])
	require.Equal(t, Tight, same[2])
	require.Equal(t, Minutes(60*60), PromisedBy([]CarRoll{car(1, friday, 30), car(2, friday, 30), car(3, friday.AddDate(0, 0, 1), 5)}, friday))
}

func TestLabelLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		code, err := NewLabel(rand.Reader)
		require.NoError(t, err)
		back, err := CheckLabel(strings.ToLower(code[:2] + "-" + code[2:] + " "))
		require.NoError(t, err)
		require.Equal(t, code, back)
		i := rapid.IntRange(0, LabelLength-1).Draw(t, "place")
		wrong := []byte(code)
		wrong[i] = labelSigns[(strings.IndexByte(labelSigns, wrong[i])+rapid.IntRange(1, len(labelSigns)-1).Draw(t, "other"))%len(labelSigns)]
		_, err = CheckLabel(string(wrong))
		require.Error(t, err, "one wrong sign in %s: %s", code, wrong)
		swapped := []byte(code)
		j := rapid.IntRange(0, LabelLength-2).Draw(t, "swap")
		swapped[j], swapped[j+1] = swapped[j+1], swapped[j]
		if string(swapped) != code {
			_, err = CheckLabel(string(swapped))
			require.Error(t, err, "two swapped in %s: %s", code, swapped)
		}
	})
	_, err := NewLabel(bytes.NewReader(nil))
	require.Error(t, err)
}

func FuzzCheckLabel(f *testing.F) {
	for _, seed := range []string{"", "346789", "AAAAA", "üüüüü", "3-4 6-7", "\x00"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, typed string) {
		code, err := CheckLabel(typed)
		if err != nil {
			_, ok := AsProblem(err)
			require.True(t, ok, "every refusal is a sentence")
			return
		}
		again, err := CheckLabel(code)
		require.NoError(t, err)
		require.Equal(t, code, again)
	})
}

func FuzzParseFaults(f *testing.F) {
	for _, seed := range []string{"", "hole x2, dent", "missing", "hole x", "hole ×3|thread", "x2", ",;|"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, s string) {
		faults, err := ParseFaults(s)
		if err != nil {
			return
		}
		again, err := ParseFaults(FormatFaults(faults))
		require.NoError(t, err)
		require.Equal(t, faults, again)
	})
}

func FuzzParseID(f *testing.F) {
	f.Add("6ba7b810-9dad-11d1-80b4-00c04fd430c8")
	f.Add("")
	f.Fuzz(func(t *testing.T, s string) {
		id, err := ParseID(s)
		if err != nil {
			require.Zero(t, id)
			return
		}
		require.Equal(t, strings.ToLower(s), id.String())
	})
}

func TestParseBenchKind(t *testing.T) {
	t.Parallel()
	for _, s := range []string{"send back", "send_back", "Send-Back", " send back "} {
		k, ok := ParseBenchKind(s)
		require.True(t, ok)
		require.Equal(t, KindSendBack, k)
	}
	for _, s := range []string{"open", "car hold", "settle", "", "replan"} {
		_, ok := ParseBenchKind(s)
		require.False(t, ok, "a tablet may not send %q", s)
	}
}

func TestWords(t *testing.T) {
	t.Parallel()
	for want, e := range map[string]Entry{
		"Ticked primed; 1.5 h logged; reason: stoved": {Stage: "Primed", Outcome: applied(),
			Event: Event{Kind: KindTick, Payload: Payload{Hours: mins(1.5), Reason: "stoved"}}},
		"Sent back to grained: cut through into the grain; 6 h of work to do again": {Outcome: applied(),
			Event: Event{Kind: KindSendBack, Payload: Payload{Stage: "grained", Defect: "cut-through", Hours: mins(6)}}},
		"Refused: Ticked cut. Not yet.":                  {Stage: "Cut", Outcome: refused("Not yet."), Event: Event{Kind: KindTick}},
		"Note; “rusty”":                                  {Outcome: applied(), Event: Event{Kind: KindNote, Payload: Payload{Note: "rusty"}}},
		"Took cleared in hand":                           {Stage: "Cleared", Outcome: applied(), Event: Event{Kind: KindStart}},
		"Went on with cleared":                           {Stage: "Cleared", Outcome: already(haveInHand), Event: Event{Kind: KindStart}},
		"Took cleared in hand. Ida ticked this already.": {Stage: "Cleared", Outcome: already("Ida ticked this already."), Event: Event{Kind: KindStart}},
		"Moved to rack 2":                                {Outcome: applied(), Event: Event{Kind: KindMove, Payload: Payload{Place: "rack 2"}}},
		"Sanded with P1500; 1–3 µm; air by the sensor: 20 °C": {Outcome: applied(), Event: Event{Kind: KindCutPass, Payload: Payload{Cut: &CutPass{Grade: "P1500"},
			Facts: &Facts{Film: &coating.Range{Low: 1, Likely: 2, High: 3}, Air: &AirWords{AirC: new(20.0)}}}}},
		"Put on the list with 2 stages": {Outcome: applied(), Event: Event{Kind: KindOpen, Payload: Payload{Plan: make([]Plan, 2)}}},
	} {
		require.Equal(t, want, Words(e, Metric))
	}
	e := Entry{Outcome: applied(), Event: Event{Kind: KindReading, Payload: Payload{Reading: &Reading{Kind: ReadFilm, Spot: "middle", FilmUM: []float64{312, 316}},
		Facts: &Facts{Film: &coating.Range{Low: 25.4, Likely: 40, High: 50.8}, Air: &AirWords{AirC: new(20.0), SurfaceC: new(18.5), Humidity: new(55.0)}}}}}
	require.Equal(t, "Film at middle: 12.28, 12.44 mil; 1.00–2.00 mil; air by the sensor: 68 °F, surface 65.3 °F, 55 % RH", Words(e, US))
	for _, k := range append(allPieceKinds, KindOpen, KindSettle, KindCarStart) {
		require.NotEqual(t, string(k), Words(Entry{Event: Event{Kind: k}}, Metric), "no words for %q", k)
	}
}

func TestPlannedHours(t *testing.T) {
	t.Parallel()
	r, f := StockRoute(), StockSettings().Factors
	likely := func(d Details, q Quality, stage string) Minutes {
		for _, p := range Planned(d, q, r, f) {
			if p.Stage == stage {
				return p.Hours.Likely
			}
		}
		return 0
	}
	medium := Details{Size: SizeMedium}
	require.Equal(t, Minutes(60), likely(medium, QualityShow, "stripped"))
	require.Equal(t, Minutes(30), likely(medium, QualityDriver, "stripped"), "half for a driver")
	require.Equal(t, Minutes(84), likely(medium, QualityConcours, "stripped"), "× 1.4")
	worn := Details{Size: SizeMedium, Grade: 4}
	require.Equal(t, Minutes(78), likely(worn, QualityShow, "stripped"), "× 1.3")
	require.Equal(t, Minutes(72), likely(worn, QualityShow, "grained"), "the grade doesn't touch the grain")
	require.Equal(t, Minutes(108), likely(Details{Size: SizeMedium, Grade: 4, SteelGrade: 5}, QualityShow, "stripped"), "bare steel tells more")
	fixed := Details{Size: SizeMedium, Mounting: MountFixed, Faults: []Fault{{"stud", 1}}}
	require.Equal(t, Minutes(130), likely(fixed, QualityShow, "grained"), "72 × 1.8")
	require.Equal(t, Minutes(65), likely(fixed, QualityShow, "repaired"), "36 × 1.8")
	require.Zero(t, likely(medium, QualityShow, "repaired"))
}
