package restoration

import "time"

// CarState is where a car stands with the shop.
type CarState string

// The states of a car.
const (
	CarSurvey    CarState = "survey"
	CarInWork    CarState = "in work"
	CarOnHold    CarState = "on hold"
	CarDelivered CarState = "delivered"
)

// Quality is the finish that was agreed for a car; it scales the standard hours.
type Quality string

// The qualities.
const (
	QualityDriver   Quality = "driver"
	QualityShow     Quality = "show"
	QualityConcours Quality = "concours"
)

// Factor is the share of the standard (show) hours (common practice, no source).
func (q Quality) Factor() float64 {
	switch q {
	case QualityDriver:
		return 0.5
	case QualityConcours:
		return 1.4
	}
	return 1
}

// Car is a car in for work. Dates are midnight UTC of the day meant; zero means none.
type Car struct {
	ID         int64
	WorkOrder  string // year-sequence, "26-014"
	Name       string // year, marque and model, "1936 Brennick Eight"
	Body       string // "saloon"
	Customer   string
	Contact    string // how to reach the customer; never leaves the office
	State      CarState
	HoldReason string
	HeldSince  time.Time
	Quality    Quality
	RateCents  int64 // per hour; 0 means the shop's rate
	ArrivedOn  time.Time
	PromisedOn time.Time
	// ExpectFrom and ExpectTo are what the owner tells the customer.
	ExpectFrom, ExpectTo time.Time
	DeliveredAt          time.Time
	Ground, Grain        string // the scheme's two colours, "#9a6a3c"
	Scheme               string // name of the car's finish
	Words                string // from the shop to the customer, shown on the progress link
	Note                 string // for the office only
}

// Check lists which of a car's days can't be right, each at its field: promised,
// expect_from, expect_to. Nil is all right.
func (c Car) Check() []*Problem {
	var found []*Problem
	add := func(field, sentence string) { found = append(found, Problemf(TroubleInvalid, field, "%s", sentence)) }
	behind := func(first, second time.Time) bool {
		return !first.IsZero() && !second.IsZero() && first.After(second)
	}
	if behind(c.ArrivedOn, c.PromisedOn) {
		add("promised", "The promised day lies before the day on which the car arrived.")
	}
	if behind(c.ExpectFrom, c.ExpectTo) {
		add("expect_to", "The expected dates are the wrong way round: the first must not lie after the second.")
	}
	if c.ExpectFrom.IsZero() != c.ExpectTo.IsZero() {
		add("expect_from", "Give both days, or neither.")
	}
	return found
}
