package office

import (
	"time"

	"scumble/internal/restoration"
	"scumble/web/ui"
)

// whenFields are the fields in which the forms of a piece's page say when something
// happened, each form one of its own. What has none happens now.
var whenFields = map[restoration.Kind]string{
	restoration.KindTick: "when", restoration.KindLogTime: "when", restoration.KindStillToGo: "when",
	restoration.KindStart: "when", restoration.KindSkip: "when",
	restoration.KindSendBack: "back_when", restoration.KindHold: "hold_when", restoration.KindNote: "memo_when",
	restoration.KindPhoto: "photo_when",
}

// whenField is the field in which a form of that kind says when it happened.
func whenField(f *form, k restoration.Kind) ui.FieldProps {
	return start(f, ui.FieldProps{Name: whenFields[k], Label: "When", Type: "datetime-local", Width: "mid", ByHint: true,
		Hint: "Empty is now; up to 90 days back."})
}

// happened reads when something happened, in the shop's zone; an empty field is now.
func (f *form) happened(name string, now time.Time, loc *time.Location) time.Time {
	at := read(f, name, func(s string) (time.Time, error) { return parseMoment(s, now, loc) })
	if at.IsZero() {
		return now
	}
	return at
}

// parseMoment reads an hour of a day as browsers send it, or as people write it, and
// wants one that an entry may carry.
func parseMoment(s string, now time.Time, loc *time.Location) (time.Time, error) {
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04", "2 Jan 2006 15:04", "2 Jan 2006, 15:04", "Mon 2 Jan 2006, 15:04"} {
		at, err := time.ParseInLocation(layout, s, loc)
		if err != nil {
			continue
		}
		switch restoration.Dated(at, now) {
		case restoration.DatedAhead:
			return time.Time{}, wrong("That hour has not come yet. Name an earlier one, or leave it empty for now.")
		case restoration.DatedLate:
			return time.Time{}, wrong("That is more than 90 days ago, too long for an entry. Keep it as a note of today that names the day.")
		}
		return at, nil
	}
	return time.Time{}, wrong("Write the day and the hour as 27 Mar 2026, 14:30.")
}
