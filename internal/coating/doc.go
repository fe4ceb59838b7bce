// Package coating holds the rules of the finish itself: films and what is left of
// them, mixes and amounts, air and waits, sandpaper.
//
// The package is pure. It knows no database, no HTTP, no clock and no other room;
// what it needs comes in. Materials, shop settings and colours are kept elsewhere.
//
// Units: film in µm, area in m², volume in mL (1 m² under 1 µm is 1 mL), temperature
// in °C, relative humidity in percent, volume solids and transfer as fractions from 0
// to 1, waits in minutes. [DegreesC], [UMFromMil] and their like are the only doors to
// other units.
//
// Sources stand beside what they give. What has none says so: "common practice, no
// source", or "from memory" where a source exists but was not looked up. A product's
// data sheet beats every figure here.
package coating
