package restoration

import (
	"math"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/coating"
)

// 200 µm are 7.87 mil, 5 µm 0.197 mil, 1,000 µm 39.37 mil, 1,000 mL 33.81 US fl oz.
func TestFilmSettingsNameBoundsInTheShopsUnit(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change     func(*FilmSettings)
		metric, us string
	}{
		"margin":     {func(f *FilmSettings) { f.WarnUM = 201 }, "The margin of the warning must be from 0 µm to 200 µm.", "The margin of the warning must be from 0 mil to 7.8 mil."},
		"session":    {func(f *FilmSettings) { f.SessionUM = 4 }, "The limit per session must be from 5 µm to 1000 µm.", "The limit per session must be from 0.2 mil to 39.3 mil."},
		"loss":       {func(f *FilmSettings) { f.FixedML = 1001 }, "The loss per mix must be from 0 mL to 1000 mL.", "The loss per mix must be from 0 fl oz to 33.8 fl oz."},
		"no number":  {func(f *FilmSettings) { f.WarnUM = math.NaN() }, "The margin of the warning must be from 0 µm to 200 µm.", "The margin of the warning must be from 0 mil to 7.8 mil."},
		"cold":       {func(f *FilmSettings) { f.Per10C = 1 }, "The factor per 10 °C must be from 1.2 to 4.", "The factor per 18 °F must be from 1.2 to 4."},
		"bare share": {func(f *FilmSettings) { f.Transfer = 1.5 }, "The share of paint that lands must be from 0.02 to 1.", "The share of paint that lands must be from 0.02 to 1."},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := StockSettings()
			c.change(&s.Film)
			require.Equal(t, []string{c.metric}, messages(s.Check()))
			s.Units = US
			require.Equal(t, []string{c.us}, messages(s.Check()))
		})
	}
}

func messages(found []*Problem) (list []string) {
	for _, p := range found {
		list = append(list, p.Message)
	}
	return list
}

// A bound that a message names is itself allowed.
func TestFilmSettingsTakeTheBoundsThatTheyName(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		at  func(*FilmSettings) *float64
		per float64 // of what is kept to one of the US unit
	}{
		"margin":  {func(f *FilmSettings) *float64 { return &f.WarnUM }, coating.UMFromMil(1)},
		"session": {func(f *FilmSettings) *float64 { return &f.SessionUM }, coating.UMFromMil(1)},
		"loss":    {func(f *FilmSettings) *float64 { return &f.FixedML }, coating.MLPerFlOz},
	} {
		f := StockFilm()
		*c.at(&f) = -1
		figures := regexp.MustCompile(`[0-9.]*[0-9]`).FindAllString(f.check(US)[0].Message, -1)
		require.Len(t, figures, 2, name)
		for _, figure := range figures {
			v, err := strconv.ParseFloat(figure, 64)
			require.NoError(t, err)
			*c.at(&f) = v * c.per
			require.Empty(t, f.check(US), "%s of %s", name, figure)
		}
	}
}
