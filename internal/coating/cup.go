package coating

import "math"

// PartML is the volume of one part of a mix.
type PartML struct {
	Name    string
	ExactML float64 // by the ratio, of the total asked for
	ML      float64 // to pour: what the cup can show
}

// Cup is what the marks of a shop's measures show, in mL.
type Cup struct {
	steps []float64 // the coarsest first, each a multiple of the last
	slack float64   // as much more than a small total may be mixed, where the ratio fits no step
}

// The cups of a shop that measures in mL, and of one in US fluid ounces: steps of 10, 5
// and 1 mL, or of 1, ½, ⅒ and a 20th fl oz. Common practice, no source.
var (
	CupML   = Cup{[]float64{10, 5, 1}, 10}
	CupFlOz = Cup{[]float64{MLPerFlOz, MLPerFlOz / 2, MLPerFlOz / 10, MLPerFlOz / 20}, MLPerFlOz / 2}
)

// fine is the least that the cup shows.
func (c Cup) fine() float64 { return c.steps[len(c.steps)-1] }

// whole rounds to what the cup shows, at least one of it: no part is left out.
func (c Cup) whole(ml float64) float64 { return max(1, math.Round(ml/c.fine())) * c.fine() }

// SplitML splits a total by the ratio of its parts, thinner last if there is any. The
// volumes to pour are whole steps of the cup that keep the ratio, never less than
// the total together: the coarsest step that adds no more than a twentieth. Where the
// ratio fits no step they are what the cup shows and comes nearest to it, for up to a
// quarter (or 10 mL, ½ fl oz) more.
func SplitML(totalML float64, parts []PartSheet, thinner Thinner, cup Cup) ([]PartML, error) {
	if err := positive("total_ml", "The amount", totalML); err != nil {
		return nil, err
	}
	if totalML > maxMixML {
		return nil, faultf("total_ml", "The amount is more than a shop mixes at once. Look at the decimal point.")
	}
	out, shares, err := ratio(parts, thinner)
	if err != nil {
		return nil, err
	}
	var sum float64
	for _, s := range shares {
		sum += s
	}
	total, ok := cup.total(totalML, shares, sum)
	if !ok {
		total = cup.nearest(totalML, shares, sum)
	}
	for i, s := range shares {
		out[i].ExactML, out[i].ML = totalML*s/sum, cup.whole(total*s/sum)
	}
	return out, nil
}

// ratioSlack is how far a part may stray from its share before a larger total is tried.
const ratioSlack = 0.02

// nearest finds the total whose parts, rounded to what the cup shows, stray least from the
// ratio; the first that strays by less than the slack will do.
func (c Cup) nearest(totalML float64, shares []float64, sum float64) float64 {
	most := max(totalML*1.25, totalML+c.slack)/c.fine() + 1
	best, least := most*c.fine(), math.Inf(1)
	for n := math.Ceil(totalML/c.fine() - roundingSlack); n <= most; n++ {
		total := n * c.fine()
		var poured, stray float64
		for _, s := range shares {
			exact := total * s / sum
			poured += c.whole(exact)
			stray = max(stray, math.Abs(c.whole(exact)/exact-1))
		}
		if poured >= totalML*(1-roundingSlack) && stray < least {
			best, least = total, stray
		}
		if least <= ratioSlack {
			break
		}
	}
	return best
}

const maxMixML = 1_000_000

// ratio names the parts with their shares, the thinner's fraction turned into a share.
func ratio(parts []PartSheet, thinner Thinner) ([]PartML, []float64, error) {
	var out []PartML
	var shares []float64
	for _, p := range parts {
		if err := positive("share", "The share of a part", p.Share); err != nil {
			return nil, nil, err
		}
		out, shares = append(out, PartML{Name: p.Name}), append(shares, p.Share)
	}
	if len(parts) == 0 {
		return nil, nil, faultf("parts", "The material has no parts. Add at least one with its share.")
	}
	if err := checkThinner(thinner.Fraction); err != nil {
		return nil, nil, err
	}
	if s := thinner.share(parts); s > 0 {
		out, shares = append(out, PartML{Name: thinner.Name}), append(shares, s)
	}
	return out, shares, nil
}

// total finds the total whose parts are all whole steps of the cup.
func (c Cup) total(totalML float64, shares []float64, sum float64) (total float64, ok bool) {
	divisor, ok := commonShare(shares)
	if !ok {
		return 0, false
	}
	for _, step := range c.steps {
		block := sum / divisor * step
		total = math.Ceil(totalML/block-roundingSlack) * block
		if total <= totalML*1.05 {
			return total, true
		}
	}
	return 0, false
}

// commonShare is the greatest share that goes into all of them, to a thousandth.
func commonShare(shares []float64) (float64, bool) {
	var common int
	for _, s := range shares {
		n := int(math.Round(s * 1000))
		if n <= 0 || math.Abs(float64(n)-s*1000) > 1e-6 || s > 1e6 {
			return 0, false
		}
		for n != 0 {
			common, n = n, common%n
		}
	}
	return float64(common) / 1000, true
}
