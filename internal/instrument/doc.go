// Package instrument reads the CSV that a measuring instrument exports: film gauges,
// gloss meters and colour instruments. No two write the same columns, so a person
// looks at [Columns], says in a [Choice] what stands where, and [Read] reads it.
//
// An export may have comma, semicolon or tab between its cells, a decimal point or
// comma, lines about the batch above its header, or no header. It is UTF-8; bytes that
// are not are taken for ISO 8859-1, in which many instruments write µ and °.
//
// Units: film in µm, or mils where the choice says so; colour in CIE L*a*b*; gloss in
// GU with its angle in degrees. Reading never stops at the first fault: all come back
// with line, column and what to do. It is bounded by [csvtable.MaxBytes],
// [csvtable.MaxColumns] and [MaxRows].
//
// The package is pure. Which piece a name means, and what becomes of an export that
// has faults, is for the caller to know.
package instrument
