package bench

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/restoration"
)

const (
	idA    = "018f3b7e-0000-7000-8000-00000000000a"
	stepA  = "018f3b7e-0000-7000-8000-0000000000aa"
	pieceA = "018f3b7e-0000-7000-8000-0000000000ff"
)

func TestParseEventsReadsEveryField(t *testing.T) {
	t.Parallel()
	got, err := ParseEvents([]byte(`[{"id":"` + idA + `","kind":"send_back","step":"` + stepA + `","piece":"` + pieceA + `",
		"at":"2026-03-27T14:30:00+01:00","hours":1.25,"still_to_go":0.5,"stage":"cut","defect":"run","reason":"r",
		"checks":["a","b"],"note":"n","place":"rack 2","colour":"unknown fields are ignored"}]`))
	require.NoError(t, err)
	require.Len(t, got, 1)
	in := got[0]
	require.Equal(t, restoration.KindSendBack, in.Kind)
	require.Equal(t, []string{idA, stepA, pieceA}, []string{in.ID.String(), in.StepID.String(), in.PieceID.String()})
	require.True(t, in.At.Equal(time.Date(2026, 3, 27, 13, 30, 0, 0, time.UTC)))
	require.EqualValues(t, 75, *in.Hours)
	require.EqualValues(t, 30, *in.StillToGo)
	require.Equal(t, []string{"a", "b"}, in.Checks)
	require.Equal(t, []string{"cut", "run", "r", "n", "rack 2"}, []string{in.Stage, in.Defect, in.Reason, in.Note, in.Place})

	e := in.Event(restoration.Actor{PersonID: 7, DeviceID: 3})
	require.Equal(t, []int64{7, 3}, []int64{e.PersonID, e.DeviceID})
	require.Equal(t, in.Payload, e.Payload)
}

func TestParseEventsReadsTheFilm(t *testing.T) {
	t.Parallel()
	one := func(kind string, more map[string]any) Incoming {
		t.Helper()
		more["kind"], more["hours"] = kind, nil
		more["facts"] = map[string]any{"film": map[string]any{"likely": 99}}
		got, err := ParseEvents([]byte("[" + entry(t, more) + "]"))
		require.NoError(t, err)
		require.Nil(t, got[0].Facts, "what the shop knew is never taken from a tablet")
		return got[0]
	}
	in := one("coat", map[string]any{"batch": idA, "coat": map[string]any{"number": 2, "material": 7, "lots": []map[string]any{{"lot": 3, "ml": 40.5}},
		"wet_um": 65, "thinned": .05, "ml": 80, "air": map[string]any{"air_c": 21.5, "humidity": 50}}})
	require.Equal(t, []any{2, int64(7), 65.0, .05, 80.0}, []any{in.Coat.Number, in.Coat.Material, *in.Coat.WetUM, in.Coat.Thinned, in.Coat.ML})
	require.Equal(t, []restoration.LotUse{{Lot: 3, ML: 40.5}}, in.Coat.Lots)
	require.InDelta(t, 21.5, *in.Coat.Air.AirC, 0)
	require.Nil(t, in.Coat.Air.SurfaceC)
	require.Equal(t, idA, in.Batch.String())

	in = one("cut_pass", map[string]any{"cut": map[string]any{"grade": "P15\x0000", "wet": true, "off": map[string]any{"low": 1, "likely": 2, "high": 3}}})
	require.Equal(t, "P15\uFFFD00", in.Cut.Grade)
	require.True(t, in.Cut.Wet)
	require.InDelta(t, 2, in.Cut.Off.Likely, 0)

	in = one("reading", map[string]any{"reading": map[string]any{"kind": "film", "spot": "a\x00b", "baseline": true, "film_um": []float64{101, 102, 103}}})
	require.Equal(t, []any{restoration.ReadFilm, "a\uFFFDb", true, []float64{101, 102, 103}}, []any{in.Reading.Kind, in.Reading.Spot, in.Reading.Baseline, in.Reading.FilmUM})
	in = one("reading", map[string]any{"reading": map[string]any{"kind": "gloss", "gloss": map[string]any{"gu": 84.5, "angle": 20}}})
	require.Equal(t, "84.5 GU at 20°", in.Reading.Gloss.String())
	in = one("reading", map[string]any{"reading": map[string]any{"kind": "colour", "lab": map[string]any{"l": 52.3, "a": 8.4, "b": 23.1}, "under_clear": true}})
	require.InDelta(t, 52.3, in.Reading.Lab.L, 0)

	in = one("strike", map[string]any{"ref": idA, "reason": "twice"})
	require.Equal(t, idA, in.Ref.String())
	in = one("note", map[string]any{"note": "n", "coat": map[string]any{"number": 1}})
	require.Nil(t, in.Coat, "a note sprays nothing")
}

func TestParseEventsRefusesWhatIsNoFilm(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		kind string
		more map[string]any
		says string
	}{
		"wet film in words":  {"coat", map[string]any{"coat": map[string]any{"wet_um": "sixty"}}, "coat.wet_um can't be a string"},
		"half a coat":        {"coat", map[string]any{"coat": map[string]any{"number": 1.5}}, "coat.number can't be a number"},
		"coat of no step":    {"coat", map[string]any{"step": nil}, "step"},
		"a batch by name":    {"coat", map[string]any{"batch": "B7"}, "batch"},
		"a reading in words": {"reading", map[string]any{"reading": map[string]any{"film_um": "thick"}}, "film_um can't be a string"},
		"strike of nothing":  {"strike", map[string]any{}, "ref"},
		"zero ref":           {"strike", map[string]any{"ref": restoration.ID{}.String()}, "zero UUID"},
	} {
		c.more["kind"], c.more["hours"] = c.kind, nil
		got, err := ParseEvents([]byte("[" + entry(t, c.more) + "]"))
		require.ErrorContains(t, err, c.says, name)
		require.Nil(t, got, name)
	}
	for _, figure := range []float64{1e9, -5, 0} {
		got, err := ParseEvents([]byte("[" + entry(t, map[string]any{"kind": "coat", "coat": map[string]any{"number": 1, "wet_um": figure}}) + "]"))
		require.NoError(t, err)
		require.InDelta(t, figure, *got[0].Coat.WetUM, 0, "what can't be right is refused by the rules, and kept")
	}
}

func TestParseEventsRefusesTheWholeBatch(t *testing.T) {
	t.Parallel()
	good := entry(t, nil)
	for name, c := range map[string]struct{ body, says string }{
		"empty":            {"", "JSON array"},
		"null":             {"null", "JSON array"},
		"an object":        {good, "JSON array"},
		"cut off":          {"[" + good, "not JSON"},
		"two documents":    {"[]" + good, "not JSON"},
		"NaN":              {"[" + strings.Replace(good, `"hours":1`, `"hours":NaN`, 1) + "]", "not JSON"},
		"beyond a float":   {"[" + strings.Replace(good, `"hours":1`, `"hours":1e999`, 1) + "]", "Entry 0: hours can't be a number"},
		"entry no object":  {"[" + good + ",7]", "Entry 1: each entry must be"},
		"entry null":       {"[null]", "Entry 0: each entry must be"},
		"hours in words":   {"[" + entry(t, map[string]any{"hours": "two"}) + "]", "Entry 0: hours can't be a string"},
		"no id":            {"[" + good + "," + entry(t, map[string]any{"id": nil}) + "]", "Entry 1: id"},
		"id no UUID":       {"[" + entry(t, map[string]any{"id": "17"}) + "]", "Entry 0: id \"17\" is not a UUID"},
		"zero id":          {"[" + entry(t, map[string]any{"id": restoration.ID{}.String()}) + "]", "zero UUID"},
		"unknown kind":     {"[" + entry(t, map[string]any{"kind": "polish"}) + "]", "send back"},
		"the office's own": {"[" + entry(t, map[string]any{"kind": "car deliver"}) + "]", "not known here"},
		"tick of no step":  {"[" + entry(t, map[string]any{"step": nil}) + "]", "Entry 0: step"},
		"about nothing":    {"[" + entry(t, map[string]any{"kind": "note", "step": nil, "piece": nil}) + "]", "Entry 0: piece"},
		"no time":          {"[" + entry(t, map[string]any{"at": nil}) + "]", "RFC 3339"},
		"a time in words":  {"[" + entry(t, map[string]any{"at": "yesterday"}) + "]", "RFC 3339"},
		"too many":         {"[" + strings.Repeat(good+",", MaxEvents) + good + "]", "at most 500"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			got, err := ParseEvents([]byte(c.body))
			require.ErrorContains(t, err, c.says)
			require.Nil(t, got)
		})
	}
}

func TestParseEventsLeavesWrongHoursToTheRules(t *testing.T) {
	t.Parallel()
	for hours, want := range map[string]restoration.Minutes{
		"0": 0, "-1": -60, "1e9": 1e9, "-1e300": -1e9, "0.25": 15, "1.999": 120, "0.001": 1, "-0.001": -1,
	} {
		got, err := ParseEvents([]byte("[" + strings.Replace(entry(t, nil), `"hours":1`, `"hours":`+hours, 1) + "]"))
		require.NoError(t, err, hours)
		require.Equal(t, want, *got[0].Hours, hours)
	}
	got, err := ParseEvents([]byte("[" + entry(t, map[string]any{"hours": nil}) + "]"))
	require.NoError(t, err)
	require.Nil(t, got[0].Hours)
}

func TestParseEventsKeepsOrderAndText(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		notes := rapid.SliceOfN(rapid.String(), 0, 20).Draw(t, "notes")
		var parts []string
		for i, note := range notes {
			parts = append(parts, entry(t, map[string]any{"note": note, "id": fmt.Sprintf("018f3b7e-0000-7000-8000-%012d", i+1)}))
		}
		got, err := ParseEvents([]byte("[" + strings.Join(parts, ",") + "]"))
		require.NoError(t, err)
		require.Len(t, got, len(notes))
		for i, in := range got {
			require.Equal(t, strings.ReplaceAll(notes[i], "\x00", "\uFFFD"), in.Note)
			require.Equal(t, fmt.Sprintf("018f3b7e-0000-7000-8000-%012d", i+1), in.ID.String())
		}
	})
}

// Whatever comes: either a sentence and nothing, or entries that each name what they
// are about and can be kept.
func FuzzParseEvents(f *testing.F) {
	f.Add([]byte(`[]`))
	f.Add([]byte("[" + entry(f, nil) + "]"))
	f.Add([]byte("[" + entry(f, map[string]any{"note": "\x00", "hours": -1e308}) + "]"))
	f.Add([]byte(`[{"id":"` + idA + `","kind":"NOTE","piece":"` + pieceA + `","at":"0000-01-01T00:00:00Z"}]`))
	f.Add([]byte("[" + entry(f, map[string]any{"kind": "coat", "batch": idA, "coat": map[string]any{"number": 1, "wet_um": 1e9}}) + "]"))
	f.Add([]byte("[" + entry(f, map[string]any{"kind": "reading", "reading": map[string]any{"kind": "film", "spot": "\x00", "film_um": []float64{1}}}) + "]"))
	f.Add([]byte("[" + entry(f, map[string]any{"kind": "strike", "ref": idA, "facts": map[string]any{"sum": "x"}}) + "]"))
	f.Fuzz(func(t *testing.T, body []byte) {
		events, err := ParseEvents(body)
		if err != nil {
			require.Nil(t, events)
			require.NotEmpty(t, err.Error())
			return
		}
		require.LessOrEqual(t, len(events), MaxEvents)
		for _, in := range events {
			require.False(t, in.ID.IsZero())
			require.Contains(t, restoration.BenchKinds(), in.Kind)
			require.False(t, in.StepID.IsZero() && in.PieceID.IsZero())
			require.NotContains(t, in.Note+in.Reason+in.Place+in.Stage+in.Defect+strings.Join(in.Checks, ""), "\x00")
			require.Nil(t, in.Facts)
			if in.Cut != nil {
				require.NotContains(t, in.Cut.Grade, "\x00")
			}
			if in.Reading != nil {
				require.NotContains(t, in.Reading.Spot+string(in.Reading.Kind), "\x00")
			}
			if in.Hours != nil {
				require.LessOrEqual(t, *in.Hours, restoration.Minutes(farMinutes))
				require.GreaterOrEqual(t, *in.Hours, -restoration.Minutes(farMinutes))
			}
		}
	})
}

// entry is a good tick as JSON, with changes; nil leaves a field out.
func entry(t interface{ Fatal(...any) }, changes map[string]any) string {
	fields := map[string]any{"id": idA, "kind": "tick", "step": stepA, "piece": pieceA, "at": "2026-03-27T14:30:00Z", "hours": 1}
	for k, v := range changes {
		fields[k] = v
		if v == nil {
			delete(fields, k)
		}
	}
	out, err := json.Marshal(fields)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}
