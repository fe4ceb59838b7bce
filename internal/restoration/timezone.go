package restoration

import (
	_ "embed"
	"slices"
	"strings"
	"time"
)

// zoneList is the column TZ of the table zone.tab in the IANA time zone database,
// 2025b (public domain), with UTC in front.
//
//go:embed timezones.txt
var zoneList string

// TimeZones lists the time zones that are offered, a place a line: "Europe/Paris".
func TimeZones() []string { return strings.Fields(zoneList) }

// FindTimeZone finds the time zone that was meant: in any case, with blanks for
// underscores. False when no zone of that name is known; the machine's own is none.
func FindTimeZone(typed string) (name string, ok bool) {
	name = strings.ReplaceAll(TidyName(typed), " ", "_")
	zones := TimeZones()
	if i := slices.IndexFunc(zones, func(z string) bool { return strings.EqualFold(z, name) }); i >= 0 {
		return zones[i], true
	}
	// Names of old stand in the database too, but must be written as they are there.
	if _, err := time.LoadLocation(name); err != nil || name == "" || strings.EqualFold(name, "local") {
		return "", false
	}
	return name, true
}
