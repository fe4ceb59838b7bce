package restoration

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestLabelSheetCheck(t *testing.T) {
	t.Parallel()
	good := LabelSheet{PageW: 210, PageH: 297, Left: 7.2, Top: 15.1, LabelW: 63.5, LabelH: 38.1, StepX: 66, StepY: 38.1, Cols: 3, Rows: 7}
	for name, c := range map[string]struct {
		change func(*LabelSheet)
		fields []string
	}{
		"as sold":              {func(*LabelSheet) {}, nil},
		"one column, no step":  {func(s *LabelSheet) { s.Cols, s.StepX = 1, 0 }, nil},
		"a column too many":    {func(s *LabelSheet) { s.Cols = 4 }, []string{"label_w"}},
		"a row too many":       {func(s *LabelSheet) { s.Rows = 8 }, []string{"label_h"}},
		"overlapping":          {func(s *LabelSheet) { s.StepX = 60 }, []string{"step_x"}},
		"overlapping rows":     {func(s *LabelSheet) { s.StepY = 0 }, []string{"step_y"}},
		"rounded, as printed":  {func(s *LabelSheet) { s.StepY = 38.06 }, nil},
		"no label":             {func(s *LabelSheet) { s.LabelW, s.LabelH = 0, 0 }, []string{"label_w", "label_h"}},
		"no number":            {func(s *LabelSheet) { s.PageW = math.NaN() }, []string{"page_w"}},
		"no number as a step":  {func(s *LabelSheet) { s.StepX = math.NaN() }, []string{"step_x"}},
		"an endless step":      {func(s *LabelSheet) { s.StepX = math.Inf(1) }, []string{"step_x"}},
		"a page of a wall":     {func(s *LabelSheet) { s.PageH = 501 }, []string{"page_h"}},
		"a margin to the left": {func(s *LabelSheet) { s.Left = -1 }, []string{"left"}},
		"beyond the page":      {func(s *LabelSheet) { s.Top = 31 }, []string{"label_h"}},
		"no columns":           {func(s *LabelSheet) { s.Cols, s.Rows = 0, 51 }, []string{"cols", "rows"}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := good
			c.change(&s)
			require.Equal(t, c.fields, fieldsAt(t, s.Check(Metric)))
			require.Equal(t, c.fields, fieldsAt(t, s.Check(US)))
		})
	}
	wide := good
	wide.Cols = 4
	require.Equal(t, "The labels don't fit the page: 4 columns end at 268.7 mm, the page is 210 mm wide. Take less of one.", wide.Check(Metric)[0].Message)
}

// The sheet of 3 × 10 labels of 2.625 × 1 in on US letter (from memory of stock that is
// commonly sold). Bounds are named so that what is named is inside: 25 mm are 0.984 in.
func TestLabelSheetCheckInInches(t *testing.T) {
	t.Parallel()
	const in = 25.4
	good := LabelSheet{PageW: 8.5 * in, PageH: 11 * in, Left: 0.19 * in, Top: 0.5 * in, LabelW: 2.625 * in, LabelH: in, StepX: 2.75 * in, StepY: in, Cols: 3, Rows: 10}
	require.Empty(t, good.Check(US))
	for name, c := range map[string]struct {
		change func(*LabelSheet)
		want   string
	}{
		"a column too many": {func(s *LabelSheet) { s.Cols = 4 }, "The labels don't fit the page: 4 columns end at 11.065 in, the page is 8.5 in wide. Take less of one."},
		"a row too many":    {func(s *LabelSheet) { s.Rows = 11 }, "The labels don't fit the page: 11 rows end at 11.5 in, the page is 11 in high. Take less of one."},
		"overlapping":       {func(s *LabelSheet) { s.StepX = 2.5 * in }, "From label to label must be at least the 2.625 in that a label is wide, or they overlap."},
		"an endless step":   {func(s *LabelSheet) { s.StepY = math.Inf(1) }, "From label to label must be at most 19.6 in."},
		"a narrow label":    {func(s *LabelSheet) { s.LabelW = 0.5 * in }, "A label's width must be from 1 in to 19.6 in."},
		"a page of a wall":  {func(s *LabelSheet) { s.PageH = 60 * in }, "The page's height must be from 0.5 in to 19.6 in."},
	} {
		s := good
		c.change(&s)
		require.Equal(t, []string{c.want}, messages(s.Check(US)), name)
	}
}

func TestLabelAddress(t *testing.T) {
	t.Parallel()
	for address, right := range map[string]bool{
		"": true, "https://shop.example": true, "http://192.168.1.5:8480": true, "https://shop.example/scumble": true,
		"shop.example": false, "ftp://shop.example": false, "javascript:alert(1)": false, "https://": false, "https://shop example": false,
		"https://a:b@shop.example": false, "https://shop.example?x=1": false, "https://shop.example/#a": false, "https://söhne.example": false,
		"https://" + strings.Repeat("a", 80): false,
	} {
		s := StockSettings()
		s.Labels.Address = address
		var fields []string
		if !right {
			fields = []string{"labels_address"}
		}
		require.Equal(t, fields, fieldsAt(t, s.Check()), address)
	}
	s := StockSettings()
	s.Labels.Sheet.Cols = 3
	require.NotEmpty(t, s.Check(), "a sheet of the shop's own is checked")
}
