// Package csvtable splits CSV of any making into records and says what is wrong with
// it: RFC 4180, UTF-8 with or without a byte order mark, CRLF, LF or CR, any of three
// separators. It never stops at the first fault, and reading is bounded by [MaxBytes]
// and [MaxColumns].
//
// The package is pure. What the columns mean is for the rooms that use it.
package csvtable
