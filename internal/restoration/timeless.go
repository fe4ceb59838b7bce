package restoration

import "regexp"

// spanIn finds the spans of time in a sentence, such as "3 h 20 min".
var spanIn = regexp.MustCompile(`less than a minute|\d+ (min|h|d|days?)( \d+ (min|h))*`)

// Timeless is a sentence of the rules without its spans of time: by it the same is known
// again a minute later, and of pieces that differ in their hours alone.
func Timeless(says string) string { return spanIn.ReplaceAllString(says, "#") }
