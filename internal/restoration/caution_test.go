package restoration

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

func TestShippedCautionsStay(t *testing.T) {
	t.Parallel()
	stock := StockRoute()
	for i := range stock.Stages {
		stock.Stages[i].Cautions = nil
	}
	require.Equal(t, StockRoute(), stock.WithCautions(), "blanked ones come back")
	require.Equal(t, StockRoute(), StockRoute().WithCautions(), "whole ones stay as they are")

	own := Route{Stages: []Stage{
		{Key: "lacquered", Look: LookCleared, Booth: true, Cautions: []string{"Test the air hose."}},
		{Key: "gilded", Look: LookOther},
		{Key: "sprayed", Look: LookOther, Booth: true},
	}}.WithCautions()
	require.Equal(t, []string{cautionSpray, cautionBooth, "Test the air hose."}, own.Stages[0].Cautions, "by its look")
	require.Empty(t, own.Stages[1].Cautions)
	require.Equal(t, []string{cautionSpray, cautionBooth}, own.Stages[2].Cautions, "what is sprayed is sprayed")
	require.Equal(t, []string{"Test the air hose."}, OwnCautions(own.Stages[0]))
}

// At the bench no caution says how well its source is known, and loses nothing else.
func TestBenchCautions(t *testing.T) {
	t.Parallel()
	for _, c := range Cautions() {
		text := BenchCaution(c.Text)
		require.NotContains(t, text, "common practice", c.Key)
		require.NotContains(t, text, "from memory", c.Key)
		require.True(t, strings.HasPrefix(c.Text, strings.TrimSuffix(text, ".")), c.Key)
	}
	require.Equal(t, "Oily rags burn by themselves: water-filled can with a lid.", BenchCaution(cautionRags))
	require.Equal(t, cautionLead, BenchCaution(cautionLead), "a standard's name stays")
	require.Equal(t, "Mind the dog.", BenchCaution("Mind the dog."), "and so does the shop's own word")
}

func keysOf(list []Caution) []string {
	var keys []string
	for _, c := range list {
		keys = append(keys, c.Key)
	}
	return keys
}

func TestCautionsForStageAndMaterial(t *testing.T) {
	t.Parallel()
	stage := func(key string) Stage {
		s, ok := StockRoute().Stage(key)
		require.True(t, ok)
		return s
	}
	require.Equal(t, []string{"strippers", "lead", "noise"}, keysOf(CautionsFor(stage("stripped"), nil)))
	require.Equal(t, []string{"dust", "noise"}, keysOf(CautionsFor(stage("cut"), nil)))

	epoxy := Material{Material: coating.Material{Kind: coating.EpoxyPrimer, Cautions: []string{"Not over acid."}}}
	primed := stage("primed")
	primed.Cautions = []string{"Test the air hose.", cautionSpray}
	require.Equal(t, []string{"isocyanate", "fire", "epoxy", "", ""}, keysOf(CautionsFor(primed, &epoxy)))
	all := CautionsFor(primed, &epoxy)
	require.Equal(t, []string{"Test the air hose.", "Not over acid."}, []string{all[3].Text, all[4].Text}, "the shop's and the sheet's come last")

	clear := Material{Material: coating.Material{Isocyanate: true, Kind: coating.Clear2K}}
	require.Contains(t, keysOf(CautionsFor(stage("cut"), &clear)), "isocyanate", "wherever it is used")
	require.Equal(t, 1, len(slices.DeleteFunc(keysOf(CautionsFor(stage("cleared"), &clear)), func(k string) bool { return k != "isocyanate" })), "once")
}

func TestEveryShippedCautionHasItsSource(t *testing.T) {
	t.Parallel()
	list := Cautions()
	for _, s := range StockRoute().Stages {
		for _, text := range s.Cautions {
			i := slices.IndexFunc(list, func(c Caution) bool { return c.Text == text })
			require.GreaterOrEqual(t, i, 0, text)
			require.NotEmpty(t, list[i].Source)
		}
	}
}

func TestCautionsAreDueOnceADay(t *testing.T) {
	t.Parallel()
	tokyo, err := time.LoadLocation("Asia/Tokyo")
	require.NoError(t, err)
	evening := time.Date(2026, 3, 2, 14, 30, 0, 0, time.UTC) // 23:30 in Tokyo
	require.True(t, CautionDue(time.Time{}, evening, tokyo), "never seen")
	require.False(t, CautionDue(evening.Add(-8*time.Hour), evening, tokyo))
	require.True(t, CautionDue(evening, evening.Add(time.Hour), tokyo), "the next day")
	require.False(t, CautionDue(evening, evening.Add(time.Hour), time.UTC))
}
