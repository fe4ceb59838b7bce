package office

import (
	"slices"

	"scumble/internal/restoration"
)

// The rules warn before an entry is made: the first time that a form would log something
// they warn of, it is shown again as it was typed with what they say above its button, and
// with hidden fields that tell it was said. Sent again it is logged, unless what was changed
// meanwhile is warned of otherwise.

// warnedField tells a warning that stood on the page from which a form is sent, without its
// spans of time: they go on while somebody reads.
const warnedField = "warned"

// warn gathers what the rules warn of.
func (f *form) warn(says []string) {
	for _, s := range says {
		if !slices.Contains(f.warned, s) {
			f.warned = append(f.warned, s)
		}
	}
}

// unheard tells whether a warning is new to whoever sent the form.
func (f *form) unheard() bool {
	return slices.ContainsFunc(f.warned, func(s string) bool { return !slices.Contains(f.values[warnedField], restoration.Timeless(s)) })
}

// heard lists what was said by now, as [warnedField] tells it.
func (f *form) heard() []string {
	list := slices.Clone(f.values[warnedField])
	for _, s := range f.warned {
		list = append(list, restoration.Timeless(s))
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// logWord is the word on the button that logs something; a second touch says that it was
// warned of.
func logWord(f *form, k restoration.Kind, word string) string {
	if openAct(f, k) && f.ok() && len(f.warned) > 0 {
		return word + " all the same"
	}
	return word
}
