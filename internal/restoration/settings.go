package restoration

import "time"

// Settings are the shop's own choices.
type Settings struct {
	ShopName  string        `json:"shop_name"`
	TimeZone  string        `json:"time_zone"` // IANA name
	Units     Units         `json:"units"`
	RateCents int64         `json:"rate_cents"` // per hour
	Currency  string        `json:"currency"`   // sign or code shown before money
	Calendar  Calendar      `json:"calendar"`
	Factors   Factors       `json:"factors"`
	Film      FilmSettings  `json:"film"`
	Labels    LabelSettings `json:"labels"`
	Timers    TimerSettings `json:"timers"`
}

// Units is how areas, films and temperatures are shown.
type Units string

// The systems of units.
const (
	Metric Units = "metric"
	US     Units = "us"
)

// Calendar is the shop's working week. Days are indexed by [time.Weekday].
type Calendar struct {
	Days     [7]WorkDay `json:"days"`
	Holidays []string   `json:"holidays"` // "2026-12-25"
}

// WorkDay is one day's hours in minutes after midnight; equal ends mean closed.
type WorkDay struct {
	Open  int `json:"open"`
	Close int `json:"close"`
}

// Factors scale the standard hours of a piece. They are common practice, no
// source; a shop's own record beats them.
type Factors struct {
	Fixed [3]float64 `json:"fixed"` // worked in the car: on low, likely, high
	Grade [6]float64 `json:"grade"` // by condition grade 1–6, on stages that go by grade
}

// StockSettings are what a shop starts with.
func StockSettings() Settings {
	day := WorkDay{8 * 60, 17 * 60}
	return Settings{
		ShopName:  "Our shop",
		TimeZone:  "UTC",
		Units:     Metric,
		RateCents: 85_00,
		Currency:  "$",
		Calendar:  Calendar{Days: [7]WorkDay{1: day, 2: day, 3: day, 4: day, 5: day}},
		Factors: Factors{
			Fixed: [3]float64{1.5, 1.8, 2.5},
			Grade: [6]float64{0.7, 0.85, 1, 1.3, 1.8, 1.8},
		},
		Film:   StockFilm(),
		Timers: StockTimers(),
	}
}

// Location loads the shop's time zone; UTC when the name is unknown here.
func (s Settings) Location() *time.Location {
	if loc, err := time.LoadLocation(s.TimeZone); err == nil {
		return loc
	}
	return time.UTC
}
