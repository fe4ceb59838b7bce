package coating

import "math"

// DryFilmUM is the film that a wet film leaves when its solvents are gone: wet × volume
// solids. No wet film leaves none; volume solids 0 is refused, because what has no
// solids is thinner and leaves no film to count.
func DryFilmUM(wetUM, volumeSolids float64) (float64, error) {
	if err := firstOf(notNegative("wet_um", "The wet film", wetUM), solids(volumeSolids)); err != nil {
		return 0, err
	}
	return wetUM * volumeSolids, nil
}

// WetFilmUM is the wet film that must be sprayed to leave a dry one: dry ÷ volume solids.
func WetFilmUM(dryUM, volumeSolids float64) (float64, error) {
	if err := firstOf(notNegative("dry_um", "The dry film", dryUM), solids(volumeSolids)); err != nil {
		return 0, err
	}
	return counted("dry_um", dryUM/volumeSolids)
}

// SolidsFromFilms is the volume solids that a wet and a dry film of the same coat prove:
// dry ÷ wet. A dry film above the wet one is refused: film shrinks, it never grows.
func SolidsFromFilms(wetUM, dryUM float64) (float64, error) {
	if err := firstOf(positive("wet_um", "The wet film", wetUM), positive("dry_um", "The dry film", dryUM)); err != nil {
		return 0, err
	}
	if dryUM > wetUM {
		return 0, faultf("dry_um", "A dry film of %g µm can't come from %g µm wet. Look whether the two were swapped.", dryUM, wetUM)
	}
	return dryUM / wetUM, nil
}

// Part is a part of a mix, ready to pour together. Volumes are in any one unit, or
// plain shares; volume solids is a fraction, 0 for thinner.
type Part struct{ Volume, VolumeSolids float64 }

// MixVolumeSolids is the volume solids of a mix: Σ volume × solids ÷ Σ volume. It lies
// between the least and the greatest of its parts. A mix of thinners has 0.
func MixVolumeSolids(parts []Part) (float64, error) {
	var largest float64
	for _, p := range parts {
		if err := firstOf(notNegative("volume", "The volume of a part", p.Volume),
			fraction("volume_solids", "Volume solids", p.VolumeSolids)); err != nil {
			return 0, err
		}
		largest = max(largest, p.Volume)
	}
	if largest == 0 {
		return 0, faultf("volume", "The mix is empty. Give at least one part a volume.")
	}
	var volume, dry float64
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range parts {
		if p.Volume == 0 {
			continue
		}
		v := p.Volume / largest // volumes of any size add up without running over
		volume += v
		dry += v * p.VolumeSolids
		low, high = min(low, p.VolumeSolids), max(high, p.VolumeSolids)
	}
	return min(max(dry/volume, low), high), nil // rounding must not carry it past its parts
}

// CoverageM2PerL is the theoretical cover: the area in m² that one litre coats at a dry
// film, 1000 × volume solids ÷ dry.
func CoverageM2PerL(volumeSolids, dryUM float64) (float64, error) {
	if err := firstOf(solids(volumeSolids), positive("dry_um", "The dry film", dryUM)); err != nil {
		return 0, err
	}
	return counted("dry_um", 1000*volumeSolids/dryUM)
}

// PracticalM2PerL is what of a cover reaches the piece: theoretical × transfer.
func PracticalM2PerL(theoretical, transfer float64) (float64, error) {
	if err := firstOf(notNegative("cover", "The cover", theoretical), share("transfer", "Transfer", transfer)); err != nil {
		return 0, err
	}
	return theoretical * transfer, nil
}

// CoatsFor is the number of coats that build a dry film, each coat of the same wet one.
func CoatsFor(buildUM, wetUM, volumeSolids float64) (int, error) {
	dry, err := DryFilmUM(wetUM, volumeSolids)
	if err := firstOf(positive("build_um", "The build", buildUM), positive("wet_um", "The wet film", wetUM), err); err != nil {
		return 0, err
	}
	coats := math.Ceil(buildUM/dry - roundingSlack)
	if coats > 1000 {
		return 0, faultf("build_um", "%g µm would take more than 1,000 coats of %g µm. Look at the decimal points.", buildUM, dry)
	}
	return max(1, int(coats)), nil
}

// roundingSlack keeps a quotient that is whole but for its last bits from being rounded up.
const roundingSlack = 1e-9

// solids refuses what can't be the volume solids of a coat.
func solids(vs float64) error { return share("volume_solids", "Volume solids", vs) }
