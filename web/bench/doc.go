// Package bench is the technician's face of the shop, made for a tablet touched with
// gloves: who are you, what is ready now, one piece with its recipe and one big
// action, and the intake of entries that a tablet sends.
//
// A tablet is enrolled once by the owner and a person signs in on it with a PIN;
// both are asked for on every page. The room shows neither money nor anything of a
// customer. It formats and parses: what may happen to a step is decided by
// restoration, what is kept by the store, which it knows through [Shop] only.
//
// Units: labour in restoration.Minutes inside, in hours on the screen and on the
// wire; times in the shop's zone on the screen, RFC 3339 on the wire.
package bench
