package office

import (
	"bytes"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"scumble/internal/trimlist"
)

const goodList = "piece,zone,area_m2,colour of the sky\nAsh tray,front,0.01,blue\n\"Panel, \"\"left\"\"\",left,0.2,<b>grey</b>\n"

// seen is the print that a preview carries.
func seen(t *testing.T, body string) string {
	t.Helper()
	m := regexp.MustCompile(`name="seen" value="([0-9a-f]+)"`).FindStringSubmatch(body)
	require.NotNil(t, m, "the page shows no table")
	return m[1]
}

func TestNewCarFromTable(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	v := newCarValues(fromTable)
	v.Set("act", "confirm") // somebody in a hurry
	a := b.upload(newCarPath, v, []byte(trimlist.BOM+goodList))
	require.Equal(t, http.StatusOK, a.code, "a table is shown first, whatever the button says")
	require.Contains(t, a.text(), "2 pieces stand in the table. Nothing is written yet.")
	require.Contains(t, a.text(), `isn't known and is ignored: "colour of the sky"`)
	require.NotContains(t, a.body, "<b>grey")
	require.Equal(t, 1, strings.Count(a.body, "Take in the car with 2 pieces"), "no twin of it at the end of the form")
	cars, err := b.store.ListCars(t.Context())
	require.NoError(t, err)
	require.Empty(t, cars)

	v.Set(listSeen, seen(t, a.body))
	v.Set(listText, strings.ReplaceAll(goodList, "\n", "\r\n")) // as a browser sends it
	other := url.Values{}
	for k := range v {
		other[k] = v[k]
	}
	other.Set(listText, goodList+"Third,rear,,\n")
	a = b.upload(newCarPath, other, nil)
	require.Equal(t, http.StatusOK, a.code, "a text changed since is shown again")
	require.Contains(t, a.body, "3 pieces stand")

	a = b.upload(newCarPath, v, nil)
	require.Equal(t, "/office/cars/26-001", a.to, a.body)
	_, pieces := b.car("26-001")
	require.Len(t, pieces, 2)
	require.Equal(t, `Panel, "left"`, pieces[1].Name)
}

func TestNewCarWithoutTable(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	a := b.upload(newCarPath, newCarValues(fromTable), nil)
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "Choose a CSV file, or paste the table below.")
}

func TestImport(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	path := "/office/cars/26-001/import"
	require.Equal(t, http.StatusOK, b.get(path).code)

	bad := "piece,zone,area_m2\nAsh tray,front,0.01\n,attic,big\n"
	a := b.upload(path, url.Values{"act": {"look"}}, []byte(bad))
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "3 things are wrong with the table")
	for _, column := range []string{"piece", "zone", "area_m2"} {
		require.Regexp(t, `</span> 3</td><td><span class="cell-label" aria-hidden="true">Column</span> `+column+`</td>`, a.body, "the line and the column are named")
	}
	require.Contains(t, a.body, "Write front, left, right, rear or loose.")
	require.Contains(t, a.body, ",attic,big", "the text comes back to be corrected")
	require.NotContains(t, a.body, `value="confirm"`)

	a = b.post(path, url.Values{"act": {"confirm"}, listSeen: {seen(t, a.body)}, listText: {bad}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "a table with faults can't be confirmed")
	_, pieces := b.car("26-001")
	require.Empty(t, pieces)

	a = b.post(path, url.Values{"act": {"look"}, listText: {goodList}})
	require.Equal(t, http.StatusOK, a.code)
	a = b.post(path, url.Values{"act": {"confirm"}, listText: {goodList}, listSeen: {seen(t, a.body)}})
	require.Equal(t, "/office/cars/26-001#pieces", a.to)
	_, pieces = b.car("26-001")
	require.Len(t, pieces, 2)

	a = b.post(path, url.Values{"act": {"look"}, listText: {goodList}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code, "a list goes in once")
	require.Contains(t, a.text(), "2 things are wrong with the table")
	require.Contains(t, a.text(), "the car has this piece already")
	require.Equal(t, http.StatusNotFound, b.get("/office/cars/26-999/import").code)
}

func TestUploadsThatAreNoList(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	require.Equal(t, http.StatusSeeOther, b.post(newCarPath, newCarValues(fromNone)).code)
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"empty":          {nil, "Choose a CSV file"},
		"a workbook":     {[]byte("PK\x03\x04 and so on"), "not CSV"},
		"UTF-16":         {[]byte("\xff\xfep\x00i\x00"), "UTF-16"},
		"latin-1":        {[]byte("piece,zone\nT\xfcr,front\n"), "not UTF-8"},
		"unread signs":   {[]byte("piece,zone\nT\uFFFDr,front\n"), "could not be read"},
		"an open quote":  {[]byte("piece,zone\n\"Ash tray,front\n"), "quote"},
		"over 10 MB":     {bytes.Repeat([]byte("x"), trimlist.MaxBytes+1), "larger than 10 MB"},
		"a formula":      {[]byte("piece,zone,size\n=1+1,front,=HYPERLINK\n"), "size"},
		"no such column": {[]byte("part,where\nAsh tray,front\n"), "does not name this column"},
	} {
		a := b.upload("/office/cars/26-001/import", url.Values{"act": {"look"}}, c.file)
		require.Equal(t, http.StatusUnprocessableEntity, a.code, name)
		require.Contains(t, a.text(), c.says, name)
	}
}

// A table that is too large loses nothing else that was typed, whether it stood
// before or behind it in the form.
func TestTooLargeLosesNothing(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	v := newCarValues(fromTable)
	v.Set("customer", "Miss Pell")
	a := b.upload(newCarPath, v, bytes.Repeat([]byte("x"), trimlist.MaxBytes+1))
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "The table is larger than 10 MB.")
	require.Contains(t, a.body, `value="Miss Pell"`)
	require.Contains(t, a.body, `value="1936 Brennick Eight"`)

	a = b.upload(newCarPath, v, bytes.Repeat([]byte("x"), maxUpload+1))
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "far larger than the 10 MB")
}

func TestOverlongForm(t *testing.T) {
	t.Parallel()
	b := openHouse(t)
	a := b.post("/office/people", url.Values{"name": {strings.Repeat("x", maxForm)}})
	require.Equal(t, http.StatusUnprocessableEntity, a.code)
	require.Contains(t, a.body, "more than 1 MB")
}
