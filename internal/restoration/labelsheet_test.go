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
			require.Equal(t, c.fields, fieldsAt(t, s.Check()))
		})
	}
	wide := good
	wide.Cols = 4
	require.Equal(t, "The labels don't fit the page: 4 columns end at 268.7 mm, the page is 210 mm wide. Take less of one.", wide.Check()[0].Message)
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
