package ui

import (
	"net/url"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestSortHeaderKeepsTheRestOfTheAddress(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct{ query, sorted, href string }{
		{"zone=left&page=3", "none", "/car?sort=piece&zone=left"},
		{"sort=piece&zone=left", "ascending", "/car?sort=-piece&zone=left"},
		{"sort=-piece", "descending", "/car?sort=piece"},
		{"sort=hours", "none", "/car?sort=piece"},
		{"q=a%26b", "none", "/car?q=a%26b&sort=piece"},
	} {
		h := SortHeaderProps{Word: "Piece", Key: "piece", Address: &url.URL{Path: "/car", RawQuery: tt.query}}
		require.Equal(t, tt.sorted, h.sorted(), tt.query)
		require.Equal(t, tt.href, h.href(), tt.query)
	}
	require.Equal(t, "?sort=piece", SortHeaderProps{Key: "piece"}.href())
}

func TestPagerKeepsTheRestOfTheAddress(t *testing.T) {
	t.Parallel()
	p := PagerProps{Address: &url.URL{Path: "/car", RawQuery: "sort=piece&page=2"}, Page: 2, Pages: 3}
	require.Equal(t, "/car?page=3&sort=piece", p.href(3))
}

func TestTab(t *testing.T) {
	t.Parallel()
	require.Equal(t, "The shop · Harrow Lane Trim", PageProps{Title: "The shop", ShopName: "Harrow Lane Trim"}.tab())
	require.Equal(t, "Progress", PageProps{Title: "1936 saloon", Tab: "Progress", ShopName: "Harrow Lane Trim"}.tab(), "the customer's tab names nothing more")
	require.Equal(t, "The shop", PageProps{Title: "The shop"}.tab())
}

func TestStepperKeepsWhatWasTyped(t *testing.T) {
	t.Parallel()
	require.Equal(t, "1.75", StepperProps{Minutes: 105}.value())
	require.Equal(t, "-1", StepperProps{Minutes: 105, Value: "-1"}.value())
}

func TestDescribedBy(t *testing.T) {
	t.Parallel()
	require.Empty(t, describedBy("a", "", ""))
	require.Equal(t, "a-hint a-error", describedBy("a", "h", "e"))
	require.Equal(t, "a-error", describedBy("a", "", "e"))
}
