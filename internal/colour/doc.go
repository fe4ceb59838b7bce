// Package colour compares colours and gloss as an instrument reads them: how far
// two readings lie apart, which piece of a set stands out, whether a gloss is the
// one wanted, and what a reading looks like on a screen.
//
// Colours are CIE L*a*b* (ISO/CIE 11664-4), differences are ΔE00 (CIEDE2000,
// ISO/CIE 11664-6) with kL = kC = kH = 1. Gloss is in gloss units (GU, ISO 2813 and
// ASTM D523) at an angle of 20°, 60° or 85°.
//
// Readings are comparable only when they were taken with the same instrument,
// light, observer and specular mode. The package can't see that: D65/10° is the
// shop's habit, and the caller keeps to it.
//
// ΔE00 is our own code and not that of a library. lucasb-eyer/go-colorful 1.4.1 was
// tried on the 34 published pairs: 33 agree to four decimals, pair 10, whose hues
// are opposite, gives 7.2195 instead of 7.1792.
//
// The package is pure. What a colour is measured on (ground, ungrained, under
// clear) and what follows from a mismatch is for the caller to know.
package colour
