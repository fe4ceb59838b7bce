package restoration

import "slices"

// ShippedCautions gives the cautions that a stage always shows: those of the stock
// route's stage of the same key, else of the same look, and those of the booth for
// every stage that is sprayed. A shop adds its own but can't take these away: they
// keep people from harm.
func ShippedCautions(s Stage) []string {
	stock := StockRoute()
	i := slices.IndexFunc(stock.Stages, func(o Stage) bool { return o.Key == s.Key })
	if i < 0 {
		i = slices.IndexFunc(stock.Stages, func(o Stage) bool { return o.Look == s.Look })
	}
	var shipped []string
	if i >= 0 {
		shipped = stock.Stages[i].Cautions
	}
	if s.Booth && !slices.Contains(shipped, cautionBooth) {
		shipped = append(slices.Clone(shipped), cautionSpray, cautionBooth)
	}
	return shipped
}

// OwnCautions gives the cautions that the shop added to a stage.
func OwnCautions(s Stage) []string {
	shipped := ShippedCautions(s)
	return slices.DeleteFunc(slices.Clone(s.Cautions), func(c string) bool { return slices.Contains(shipped, c) })
}

// WithCautions gives the route with every shipped caution on its stage, before the
// shop's own.
func (r Route) WithCautions() Route {
	r.Stages = slices.Clone(r.Stages)
	for i, s := range r.Stages {
		r.Stages[i].Cautions = append(slices.Clone(ShippedCautions(s)), OwnCautions(s)...)
	}
	return r
}
