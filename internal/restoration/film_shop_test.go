package restoration

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"scumble/internal/coating"
)

// What is kept of a film judges like the film itself, whatever the floor.
func TestKeptFilmJudgesLikeTheWhole(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		um := rapid.Custom(func(t *rapid.T) coating.Range {
			low := rapid.Float64Range(0, 60).Draw(t, "low")
			likely := low + rapid.Float64Range(0, 10).Draw(t, "more")
			return coating.Range{Low: low, Likely: likely, High: likely + rapid.Float64Range(0, 10).Draw(t, "most")}
		})
		deeds := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) coating.Deed {
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				return coating.Deed{Cut: &coating.Cut{Layer: coating.Clear, OffUM: um.Draw(t, "off")}}
			case 1:
				at := rapid.Float64Range(80, 200).Draw(t, "gauge")
				return coating.Deed{Gauge: &coating.Gauge{Spot: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "spot"),
					Readings: []float64{at, at + 1, at + 2}, SigmaUM: 2, Baseline: rapid.Bool().Draw(t, "baseline")}}
			}
			return coating.Deed{Coat: &coating.Coat{Layer: coating.Clear, DryUM: um.Draw(t, "dry"), Session: "1"}}
		}), 0, 12).Draw(t, "deeds")
		policy := coating.Policy{FloorUM: rapid.Float64Range(0, 100).Draw(t, "floor"), WarnUM: 10, BuildUM: 100,
			EdgeFactor: rapid.Float64Range(.3, 1).Draw(t, "edge")}

		whole := coating.Measure(deeds, policy)
		kept := Keep(coating.Measure(deeds, coating.Policy{})).Film(policy)
		require.Equal(t, []any{whole.Clear, whole.Edge, whole.CutAway, whole.MayGoUM}, []any{kept.Clear, kept.Edge, kept.CutAway, kept.MayGoUM})
		require.Equal(t, []any{whole.ByGauge, whole.NearFloor, whole.BelowFloor, whole.Built, whole.Known()},
			[]any{kept.ByGauge, kept.NearFloor, kept.BelowFloor, kept.Built, kept.Known()})
	})
}

func TestTempNow(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	at := func(age time.Duration, c float64) AirReading {
		return AirReading{At: now.Add(-age), AirC: c, Humidity: 50}
	}
	for _, c := range []struct {
		name string
		list []AirReading
		want float64
	}{
		{"no sensor", nil, 20},
		{"one", []AirReading{at(5*time.Minute, 24)}, 24},
		{"the later of two", []AirReading{at(5*time.Minute, 24), at(10*time.Minute, 18)}, 24},
		{"as old as may be", []AirReading{at(SensorAge, 24)}, 24},
		{"too old", []AirReading{at(SensorAge+time.Second, 24)}, 20},
		{"of a clock that is ahead", []AirReading{at(-time.Minute, 24)}, 20},
	} {
		require.InDelta(t, c.want, TempNow(c.list, now), 0, c.name)
	}
}

func TestDeedOfTakesATinOnce(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 3, 27, 14, 30, 0, 0, time.UTC)
	e := Event{ID: ID{1}, Kind: KindCoat, StepID: ID{2}, At: now.Add(time.Minute), Arrived: now, Payload: Payload{
		Coat: &Coat{Number: 1, Material: 7}, Facts: &Facts{Layer: coating.Clear, Film: &coating.Range{}, Lots: []LotUse{{9, 10}, {3, 5}, {9, 2}}}}}
	d, ok := DeedOf(Piece{ID: ID{3}, Steps: []Step{{ID: ID{2}, Stage: "cleared", Pass: 2}}}, e)
	require.True(t, ok)
	require.Equal(t, []LotUse{{3, 5}, {9, 12}}, d.Lots)
	require.Equal(t, now, d.At, "a clock that is ahead counts as the hour of arrival")
	require.Equal(t, "cleared", d.Stage)
	require.Equal(t, 2, d.Pass)
	require.Zero(t, d.Material, "it is none of the shop's list")
	_, ok = DeedOf(Piece{}, Event{Kind: KindTick})
	require.False(t, ok)
}
