package office

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// auditForm is how a value of the audit is written.
type auditForm int

const (
	formPlain  auditForm = iota
	formHidden           // numbers of rows and what the ledger says: not what a person changed
	formDay
	formMoment
	formMoney     // in the smallest coin
	formSpan      // in minutes
	formClock     // minutes after midnight
	formArea      // m²
	formFilm      // µm
	formVolume    // mL
	formGrade     // 0 is none
	formList      // objects that stand in one line
	formWeek      // a list by days of the week
	formMaterials // numbers of materials by layer
	formTin       // number of a tin
)

// auditField is a field of what the audit keeps, by its key in small letters without
// underscores.
type auditField struct {
	key, word string // no word: what is under it is said without
	form      auditForm
}

// auditFields are in the order in which a person reads them. What isn't here is said
// by its key.
var auditFields = []auditField{
	{"name", "name", formPlain}, {"shopname", "name of the shop", formPlain}, {"role", "role", formPlain},
	{"person", "who", formPlain}, {"kind", "kind", formPlain}, {"doneon", "done on", formDay}, {"validuntil", "good until", formDay},
	{"expires", "works until", formMoment}, {"readat", "read at", formMoment}, {"showhours", "shows hours", formPlain}, {"showname", "shows the car's name", formPlain},
	{"workorder", "work order", formPlain}, {"body", "body", formPlain}, {"customer", "customer", formPlain}, {"contact", "contact", formPlain},
	{"quality", "quality agreed", formPlain}, {"ratecents", "rate", formMoney}, {"arrivedon", "arrived", formDay}, {"promisedon", "promised", formDay},
	{"expectfrom", "expected from", formDay}, {"expectto", "expected to", formDay}, {"ground", "ground colour", formPlain},
	{"grain", "grain colour", formPlain}, {"route", "route", formPlain}, {"zone", "zone", formPlain}, {"side", "side", formPlain},
	{"place", "place", formPlain}, {"order", "order in the zone", formPlain}, {"aream2", "area", formArea}, {"bothm2", "area of both faces", formArea},
	{"size", "size", formPlain}, {"mounting", "mounting", formPlain}, {"metal", "metal", formPlain}, {"set", "set", formPlain},
	{"scheme", "scheme", formPlain}, {"schemereason", "why another scheme", formPlain}, {"grade", "grade", formGrade},
	{"steelgrade", "grade on bare steel", formGrade}, {"faults", "faults", formList}, {"words", "words to the customer", formPlain},
	{"note", "note", formPlain}, {"timezone", "time zone", formPlain}, {"units", "units", formPlain}, {"currency", "currency", formPlain},
	{"calendar", "", formPlain}, {"days", "", formWeek}, {"open", "opens", formClock}, {"close", "closes", formClock},
	{"holidays", "days off", formDay}, {"factors", "factors", formPlain}, {"fixed", "worked in the car", formPlain},
	{"stages", "", formPlain}, {"look", "look", formPlain}, {"need", "begins by", formPlain}, {"after", "wait", formPlain},
	{"recoatmin", "to recoat", formSpan}, {"sandmin", "to sand", formSpan}, {"polishmin", "to polish", formSpan}, {"fitmin", "to fit", formSpan},
	{"maxrecoatmin", "recoat window", formSpan}, {"small", "small piece", formPlain}, {"medium", "medium piece", formPlain},
	{"large", "large piece", formPlain}, {"lowmin", "low", formSpan}, {"likelymin", "likely", formSpan}, {"highmin", "high", formSpan},
	{"setup", "set-up", formSpan}, {"booth", "needs the booth", formPlain}, {"bygrade", "hours go by the grade", formPlain},
	{"repair", "only with a fault", formPlain}, {"purpose", "purpose", formPlain}, {"checks", "checks", formList}, {"cautions", "cautions", formPlain},
	{"clearcoats", "coats of clear", formPlain}, {"buildum", "clear before cutting", formFilm}, {"floorum", "floor", formFilm},
	{"gloss", "gloss", formPlain}, {"gu", "units", formPlain}, {"angle", "angle, °", formPlain}, {"l", "L*", formPlain}, {"a", "a*", formPlain},
	{"b", "b*", formPlain}, {"materials", "", formMaterials}, {"groundlot", "tin of the ground", formTin},
	{"number", "lot", formPlain}, {"amountml", "amount", formVolume}, {"openedon", "opened", formDay}, {"expireson", "last good day", formDay},
	{"closed", "closed", formMoment}, {"materialname", "holds", formPlain}, {"leftml", "", formHidden}, {"material", "", formHidden}, {"part", "", formHidden},
	{"carid", "", formHidden}, {"personid", "", formHidden}, {"id", "", formHidden}, {"key", "", formHidden}, {"version", "version", formPlain}, {"haspin", "", formHidden}, {"haspassword", "", formHidden},
	{"misses", "", formHidden}, {"lockedat", "", formHidden}, {"leftat", "", formHidden}, {"lastseen", "", formHidden}, {"state", "", formHidden},
	{"holdreason", "", formHidden}, {"heldsince", "", formHidden}, {"deliveredat", "", formHidden},
}

// fieldOf finds a field by its key in a document.
func fieldOf(key string) auditField {
	plain := plainKey(key)
	if i := fieldRank(plain); i < len(auditFields) {
		return auditFields[i]
	}
	return auditField{plain, strings.ReplaceAll(key, "_", " "), formPlain}
}

func plainKey(key string) string { return strings.ToLower(strings.ReplaceAll(key, "_", "")) }

func fieldRank(plain string) int {
	if i := slices.IndexFunc(auditFields, func(f auditField) bool { return f.key == plain }); i >= 0 {
		return i
	}
	return len(auditFields)
}

// fieldOrder lists the keys of an object in the order in which a person reads them.
func fieldOrder(o map[string]any) []string {
	return slices.SortedFunc(maps.Keys(o), func(a, b string) int {
		return cmp.Or(cmp.Compare(fieldRank(plainKey(a)), fieldRank(plainKey(b))), strings.Compare(a, b))
	})
}
