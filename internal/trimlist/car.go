package trimlist

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"scumble/internal/csvtable"
	"scumble/internal/restoration"
)

// Cars is a list of cars as it was read. Cars holds the rows without fault, in the
// order of the file; it is empty where the header has one.
type Cars struct {
	Table
	Cars []restoration.Car
}

// maxRate is the most that an hour may cost, in whole units of money.
const maxRate = 100_000

func carSheet() sheet {
	return sheet{
		many: "cars",
		columns: []string{"work_order", "car", "body", "customer", "contact", "arrived", "promised", "rate", "quality",
			"ground", "grain", "scheme", "note"},
		required: []string{"car"},
	}
}

// ParseCars reads a list of cars. What is wrong with the list is in its faults; the
// error tells only that reading failed.
//
// A blank work order is left for the shop to number, a blank rate is the shop's, a
// blank quality is show. Every car starts at its survey.
func ParseCars(r io.Reader, known Known) (Cars, error) {
	c := carReader{seen: make(map[string]int), here: make(map[carKey]string)}
	for _, car := range known.Cars {
		c.seen[car.WorkOrder] = onTheCar
		c.here[keyOfCar(car)] = car.WorkOrder
	}
	t, cars, err := read(r, carSheet(), c.car)
	return Cars{Table: t, Cars: cars}, err
}

type carReader struct {
	seen map[string]int    // line by work order
	here map[carKey]string // work order of the shop's cars
}

// carKey is what tells a car that has no number yet from those in the shop.
type carKey struct {
	name, customer string
	arrived        time.Time
}

func keyOfCar(c restoration.Car) carKey {
	return carKey{strings.ToLower(c.Name), strings.ToLower(c.Customer), c.ArrivedOn}
}

func (c *carReader) car(l *line) restoration.Car {
	car := restoration.Car{State: restoration.CarSurvey}
	car.WorkOrder = c.workOrder(l)
	car.Name = l.name("car")
	car.Body = l.short("body", maxShort)
	car.Customer = l.short("customer", maxShort)
	car.Contact = l.short("contact", 200)
	car.ArrivedOn = l.date("arrived")
	car.PromisedOn = l.date("promised")
	if !car.ArrivedOn.IsZero() && !car.PromisedOn.IsZero() && car.PromisedOn.Before(car.ArrivedOn) {
		l.fault("promised", "the car is promised before it arrives", "Correct one of the two dates.")
	}
	rate := l.decimal("rate", "rate", 0.01, maxRate, 2, "Write money per hour, such as 85 or 85.50, or leave it blank for the shop's rate.")
	car.RateCents = int64(math.Round(rate * 100))
	car.Quality = choice(l, "quality", qualities(), "Write driver, show or concours, or leave it blank for show.")
	car.Ground = l.colour("ground")
	car.Grain = l.colour("grain")
	car.Scheme = l.short("scheme", maxShort)
	car.Note = l.long("note")
	if wo, ok := c.here[keyOfCar(car)]; ok && car.WorkOrder == "" {
		l.fault("car", "this car of the same customer and day is in the shop as "+wo, "Delete the line, or give the car a work order of its own.")
	}
	return car
}

func (c *carReader) workOrder(l *line) string {
	wo := l.cell("work_order")
	if wo == "" {
		return ""
	}
	year, number, _ := strings.Cut(wo, "-")
	if len(year) != 2 || len(number) < 3 || len(number) > 6 || !digits(year) || !digits(number) {
		l.fault("work_order", csvtable.Quote(wo)+" is no work order", "Write year and number, such as 26-014, or leave it blank for the next one.")
		return ""
	}
	earlier, ok := c.seen[wo]
	switch {
	case ok && earlier == onTheCar:
		l.fault("work_order", "the shop has a car "+wo+" already", "Delete the line, give the car another number, or leave it blank for the next one.")
		return ""
	case ok:
		l.fault("work_order", fmt.Sprintf("%s stands on line %d already", wo, earlier), "Give each car its own number, or leave it blank for the next one.")
		return ""
	}
	c.seen[wo] = l.row.Line
	return wo
}

// colour reads "#9a6a3c" in either case; "" when blank.
func (l *line) colour(column string) string {
	cell := strings.ToLower(l.cell(column))
	if cell == "" {
		return ""
	}
	hex, ok := strings.CutPrefix(cell, "#")
	if !ok || len(hex) != 6 || strings.Trim(hex, "0123456789abcdef") != "" {
		l.fault(column, csvtable.Quote(cell)+" is no colour", "Write # and six hexadecimal digits, such as #9a6a3c.")
		return ""
	}
	return cell
}

func qualities() map[string]restoration.Quality {
	return map[string]restoration.Quality{
		"": restoration.QualityShow, "driver": restoration.QualityDriver,
		"show": restoration.QualityShow, "concours": restoration.QualityConcours,
	}
}
