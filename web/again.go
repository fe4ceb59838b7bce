package web

import (
	"maps"
	"net/url"
	"slices"
)

// TypedField is one field of a form as it was sent.
type TypedField struct{ Name, Value string }

// Typed lists what a form holds in the order of its fields' names, but for secrets:
// those are typed again.
func Typed(form url.Values) []TypedField {
	var fields []TypedField
	for _, name := range slices.Sorted(maps.Keys(form)) {
		if name == "pin" || name == "password" {
			continue
		}
		for _, value := range form[name] {
			fields = append(fields, TypedField{name, value})
		}
	}
	return fields
}
