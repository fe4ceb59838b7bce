package restoration

import (
	"cmp"
	"slices"
)

// CarUse is what was sprayed on a car, of all kinds together.
type CarUse struct {
	CarID     int64
	WorkOrder string
	Car       string // its name
	Coats     int
	ML        float64
	VOCGrams  float64
	Unstated  float64 // mL of it whose sheet states no VOC
}

// UsageByCar adds up coats by car, in the order of work orders.
func UsageByCar(coats []Sprayed) []CarUse {
	at := map[int64]int{}
	var cars []CarUse
	for _, c := range coats {
		i, ok := at[c.CarID]
		if !ok {
			i = len(cars)
			at[c.CarID], cars = i, append(cars, CarUse{CarID: c.CarID, WorkOrder: c.WorkOrder, Car: c.Car})
		}
		cars[i].Coats++
		cars[i].ML += c.ML
		cars[i].VOCGrams += c.ML * c.VOCGramsPerL / 1000
		if c.VOCGramsPerL == 0 {
			cars[i].Unstated += c.ML
		}
	}
	slices.SortFunc(cars, func(a, b CarUse) int { return cmp.Compare(a.WorkOrder, b.WorkOrder) })
	return cars
}
