package restoration

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

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
	require.Equal(t, []string{cautionMist, cautionUnsure, cautionBooth, "Test the air hose."}, own.Stages[0].Cautions, "by its look")
	require.Empty(t, own.Stages[1].Cautions)
	require.Equal(t, []string{cautionMist, cautionUnsure, cautionBooth}, own.Stages[2].Cautions, "what is sprayed is sprayed")
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
	primed.Cautions = []string{"Test the air hose.", cautionNCO}
	require.Equal(t, []string{"mist", "fire", "epoxy", "", ""}, keysOf(CautionsFor(primed, &epoxy)))
	all := CautionsFor(primed, &epoxy)
	require.Equal(t, []string{"Test the air hose.", "Not over acid."}, []string{all[3].Text, all[4].Text}, "the shop's and the sheet's come last")

}

// What is sprayed asks for a respirator whatever it is; isocyanate is named where the
// material is marked, with an "if" where nobody has said, and not where it can't be.
func TestIsocyanateGoesByTheMaterial(t *testing.T) {
	t.Parallel()
	of := func(kind coating.Kind, isocyanate bool, parts int) *Material {
		return &Material{Material: coating.Material{Kind: kind, Isocyanate: isocyanate, Parts: make([]coating.PartSheet, parts)}}
	}
	route := StockRoute()
	for name, c := range map[string]struct {
		look Look
		m    *Material
		want []string
	}{
		"no material yet":          {LookGrounded, nil, []string{"mist", "isocyanate-unsure", "fire"}},
		"one-part ground":          {LookGrounded, of(coating.Ground1K, false, 1), []string{"mist", "fire"}},
		"lacquer":                  {LookCleared, of(coating.ClearLacquer, false, 1), []string{"mist", "fire"}},
		"marked":                   {LookCleared, of(coating.Clear2K, true, 2), []string{"mist", "isocyanate", "fire"}},
		"one-part, but marked":     {LookGrounded, of(coating.Ground1K, true, 1), []string{"mist", "isocyanate", "fire"}},
		"of a kind, not marked":    {LookCleared, of(coating.Clear2K, false, 2), []string{"mist", "isocyanate-unsure", "fire"}},
		"other of two parts":       {LookPrimed, of(coating.OtherKind, false, 2), []string{"mist", "isocyanate-unsure", "fire"}},
		"other of one part":        {LookPrimed, of(coating.OtherKind, false, 1), []string{"mist", "fire"}},
		"marked, not in a booth":   {LookCut, of(coating.Clear2K, true, 2), []string{"dust", "noise", "isocyanate"}},
		"unmarked, not in a booth": {LookCut, of(coating.Clear2K, false, 2), []string{"dust", "noise"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			stage := stockStage(t, c.look)
			require.Equal(t, c.want, keysOf(CautionsFor(stage, c.m)))
			stage.Cautions = []string{cautionNCO, cautionBooth} // as stages were saved before
			if stage.Booth {
				require.Equal(t, c.want, keysOf(CautionsFor(stage, c.m)), "as it was saved before")
			}
		})
	}
	require.Equal(t, StockRoute(), route, "the stock route is not changed by asking")
}

// Whatever the material, no shipped caution goes but the "if", and that one only for
// what is not marked.
func TestNoMaterialBlanksACaution(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		stage := rapid.SampledFrom(StockRoute().Stages).Draw(t, "stage")
		stage.Booth = stage.Booth || rapid.Bool().Draw(t, "booth")
		m := &Material{Material: coating.Material{Kind: rapid.SampledFrom(coating.Kinds()).Draw(t, "kind"),
			Isocyanate: rapid.Bool().Draw(t, "isocyanate"), Parts: make([]coating.PartSheet, rapid.IntRange(1, 3).Draw(t, "parts"))}}
		var texts []string
		for _, c := range CautionsFor(stage, m) {
			require.NotContains(t, texts, c.Text, "once")
			texts = append(texts, c.Text)
		}
		for _, shipped := range ShippedCautions(stage) {
			if shipped != cautionUnsure {
				require.Contains(t, texts, shipped)
			}
		}
		require.Equal(t, m.Isocyanate, slices.Contains(texts, cautionNCO))
		require.Equal(t, SpraysIsocyanate(stage, nil) && !m.Isocyanate && SpraysIsocyanate(stage, m), slices.Contains(texts, cautionUnsure))
	})
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
