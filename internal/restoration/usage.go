package restoration

import (
	"cmp"
	"slices"
	"time"

	"scumble/internal/coating"
)

// Sprayed is a coat as the record of what the shop used up reads it.
type Sprayed struct {
	At           time.Time
	CarID        int64
	WorkOrder    string // of the car
	Car          string // its name
	Material     int64  // 0: none of the shop's list
	Name         string
	Kind         coating.Kind
	ML           float64 // ready to spray
	VOCGramsPerL float64 // ready to spray, by the sheet; 0 not stated
}

// Usage is what was sprayed of a material, or of a kind, in a month.
type Usage struct {
	Month    time.Time // its first day, midnight UTC
	Kind     coating.Kind
	Material int64  // 0 of a whole kind
	Name     string // of the material; "" of a whole kind
	Coats    int
	ML       float64
	VOCGrams float64
	Unstated float64 // mL of it whose sheet states no VOC
}

// UsageByMonth adds up coats by month and material: VOC is the sheet's g/L × mL ÷ 1000.
// Months are those of loc. The oldest comes first, then by kind and name.
func UsageByMonth(coats []Sprayed, loc *time.Location) []Usage {
	var lines []Usage
	for _, c := range coats {
		at := c.At.In(loc)
		u := Usage{Month: time.Date(at.Year(), at.Month(), 1, 0, 0, 0, 0, time.UTC), Kind: cmp.Or(c.Kind, coating.OtherKind),
			Material: c.Material, Name: c.Name, Coats: 1, ML: c.ML, VOCGrams: c.ML * c.VOCGramsPerL / 1000}
		if c.VOCGramsPerL == 0 {
			u.Unstated = c.ML
		}
		lines = append(lines, u)
	}
	return addUsage(lines)
}

// UsageByKind adds up what [UsageByMonth] gave by month and kind.
func UsageByKind(lines []Usage) []Usage {
	kinds := slices.Clone(lines)
	for i := range kinds {
		kinds[i].Material, kinds[i].Name = 0, ""
	}
	return addUsage(kinds)
}

func addUsage(lines []Usage) []Usage {
	type key struct {
		month    time.Time
		kind     coating.Kind
		material int64
		name     string
	}
	at := map[key]int{}
	var sums []Usage
	for _, u := range lines {
		k := key{u.Month, u.Kind, u.Material, u.Name}
		i, ok := at[k]
		if !ok {
			at[k], sums = len(sums), append(sums, u)
			continue
		}
		sums[i].Coats += u.Coats
		sums[i].ML += u.ML
		sums[i].VOCGrams += u.VOCGrams
		sums[i].Unstated += u.Unstated
	}
	slices.SortStableFunc(sums, func(a, b Usage) int {
		return cmp.Or(a.Month.Compare(b.Month), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name), cmp.Compare(a.Material, b.Material))
	})
	return sums
}
