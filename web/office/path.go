package office

import (
	"net/url"
	"strconv"

	"scumble/internal/restoration"
)

// carPath is the address of a car's page.
func carPath(workOrder string) string { return "/office/cars/" + url.PathEscape(workOrder) }

// piecePath is the address of a piece's page.
func piecePath(id restoration.ID) string { return "/office/pieces/" + id.String() }

// withQuery sets one key of a page's query.
func withQuery(path, key, value string) string {
	return path + "?" + url.Values{key: {value}}.Encode()
}

func formatID(id int64) string { return strconv.FormatInt(id, 10) }
