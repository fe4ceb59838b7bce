package office

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"scumble/internal/restoration"
)

// What a person may type, before it is a number. A comma does for a decimal point.
var (
	plainNumber = regexp.MustCompile(`^\d{1,9}(?:[.,]\d{1,6})?$`)
	spanOfUnits = regexp.MustCompile(`^(?:(\d{1,9}(?:[.,]\d{1,6})?) ?d)? ?(?:(\d{1,9}(?:[.,]\d{1,6})?) ?h)? ?(?:(\d{1,9}) ?min)?$`)
	amount      = regexp.MustCompile(`^\d{1,9}(?:[.,]\d{1,2})?$`)
	clock       = regexp.MustCompile(`^(\d{1,2}):(\d{2})$`)
)

// wrong is a sentence for the person who typed.
func wrong(sentence string) error {
	return restoration.Problemf(restoration.TroubleInvalid, "", "%s", sentence)
}

// parseHours reads a span: a plain number of hours, or with units, "45 min",
// "1 h 30 min", "7 d".
func parseHours(s string) (restoration.Minutes, error) {
	s = strings.ToLower(strings.Join(strings.Fields(s), " "))
	if strings.HasPrefix(s, "-") || strings.HasPrefix(s, "−") {
		return 0, wrong("Hours can't be negative.")
	}
	if plainNumber.MatchString(s) {
		return minutesOf(0, decimal(s), 0)
	}
	m := spanOfUnits.FindStringSubmatch(s)
	if m == nil || s == "" {
		return 0, wrong("Write hours as a number such as 1.5, or with a unit: 45 min, 16 h, 7 d.")
	}
	return minutesOf(decimal(m[1]), decimal(m[2]), decimal(m[3]))
}

func minutesOf(days, hours, minutes float64) (restoration.Minutes, error) {
	m, err := restoration.FromHours(days*24 + hours + minutes/60)
	if err != nil {
		return 0, wrong("That is longer than any shop waits or works. Check the decimal point.")
	}
	return m, nil
}

// decimal reads what one of the patterns above has let through; "" is 0.
func decimal(s string) float64 {
	v, _ := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	return v
}

// typedHours writes what parseHours reads back, as a decimal number.
func typedHours(m restoration.Minutes) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(m.Hours(), 'f', 2, 64), "0"), ".")
}

// typedSpan writes what parseHours reads back, with the unit that suits a wait; no
// wait is "".
func typedSpan(m restoration.Minutes) string {
	switch {
	case m == 0:
		return ""
	case m%(24*60) == 0 && m >= 48*60:
		return fmt.Sprintf("%d d", int(m/(24*60)))
	case m%60 == 0:
		return fmt.Sprintf("%d h", int(m/60))
	case m < 60:
		return fmt.Sprintf("%d min", int(m))
	}
	return fmt.Sprintf("%d h %d min", int(m/60), int(m%60))
}

// parseMoney reads an amount in the smallest coin.
func parseMoney(s string) (int64, error) {
	if !amount.MatchString(s) {
		return 0, wrong("Write an amount such as 85 or 85.50, without a sign for the currency or for thousands.")
	}
	whole, fraction, _ := strings.Cut(strings.Replace(s, ",", ".", 1), ".")
	cents, err := strconv.ParseInt(whole+(fraction + "00")[:2], 10, 64)
	if err != nil {
		return 0, wrong("That amount is too large.")
	}
	return cents, nil
}

// typedMoney writes what parseMoney reads back.
func typedMoney(cents int64) string {
	return fmt.Sprintf("%d.%02d", cents/100, cents%100)
}

// parseDate reads a day as browsers send it, or as people write it.
func parseDate(s string) (time.Time, error) {
	for _, layout := range []string{time.DateOnly, "2 Jan 2006", "2 January 2006", "Mon 2 Jan 2006"} {
		d, err := time.Parse(layout, s)
		if err != nil {
			continue
		}
		if d.Year() < 1990 || d.Year() > 2199 {
			return time.Time{}, wrong("That day is not of this age. Check the year.")
		}
		return d, nil
	}
	return time.Time{}, wrong("Write the day as 27 Mar 2026 or 2026-03-27.")
}

// typedDate writes what parseDate reads back; no day is "".
func typedDate(d time.Time) string {
	if d.IsZero() {
		return ""
	}
	return d.Format(time.DateOnly)
}

// parseClock reads an hour of the day as minutes after midnight. 24:00 is its end.
func parseClock(s string) (int, error) {
	m := clock.FindStringSubmatch(s)
	if m == nil {
		return 0, wrong("Write the hour as 08:30.")
	}
	minutes := int(decimal(m[1]))*60 + int(decimal(m[2]))
	if decimal(m[2]) > 59 || minutes > 24*60 {
		return 0, wrong("A day has the hours 00:00 to 24:00.")
	}
	return minutes, nil
}

// typedClock writes what parseClock reads back.
func typedClock(minutes int) string {
	return fmt.Sprintf("%02d:%02d", minutes/60, minutes%60)
}

// parseFactor reads a factor on hours.
func parseFactor(s string) (float64, error) {
	if !plainNumber.MatchString(s) {
		return 0, wrong("Write a factor such as 1.3.")
	}
	return decimal(s), nil
}

// typedFactor writes what parseFactor reads back.
func typedFactor(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }
