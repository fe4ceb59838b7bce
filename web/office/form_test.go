package office

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/restoration"
)

func post(values url.Values) *http.Request {
	r := httptest.NewRequest(http.MethodPost, "/office", strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return r
}

func TestFormHours(t *testing.T) {
	t.Parallel()
	minutes := func(m restoration.Minutes) *restoration.Minutes { return &m }
	for name, tc := range map[string]struct {
		typed string
		want  *restoration.Minutes
		wrong string
	}{
		"quarter hours":  {"1.75", minutes(105), ""},
		"comma":          {"1,5", minutes(90), ""},
		"nought":         {"0", minutes(0), ""},
		"empty":          {" ", nil, ""},
		"negative":       {"-1", nil, "must not be negative"},
		"beyond a life":  {"1e9", nil, "check the decimal point"},
		"no number":      {"NaN", nil, "must be a number"},
		"infinite":       {"Inf", nil, "must be a number"},
		"word":           {"two", nil, `"two" is no number`},
		"two separators": {"1,000.5", nil, "is no number"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := &form{values: url.Values{"hours": {tc.typed}}}
			require.Equal(t, tc.want, f.hours("hours"))
			if tc.wrong == "" {
				require.True(t, f.ok(), f.wrong)
				return
			}
			require.Contains(t, f.at("hours"), tc.wrong)
		})
	}
}

func TestFormTextTooLong(t *testing.T) {
	t.Parallel()
	f := &form{values: url.Values{"note": {strings.Repeat("ö", 61)}}}
	f.text("note", 60)
	require.Contains(t, f.at("note"), "61 signs; 60 are the most")
}

func TestFormTooLarge(t *testing.T) {
	t.Parallel()
	_, err := readForm(httptest.NewRecorder(), post(url.Values{"note": {strings.Repeat("x", 1<<20)}}))
	p, ok := restoration.AsProblem(err)
	require.True(t, ok, err)
	require.Equal(t, restoration.TroubleInvalid, p.Trouble)
	require.Contains(t, p.Message, "256 kB")
}

func TestFormIsNilSafe(t *testing.T) {
	t.Parallel()
	var f *form
	require.Empty(t, f.at("x"))
	require.Empty(t, f.errors())
	require.Equal(t, "start", f.typed("x", "start"))
}
