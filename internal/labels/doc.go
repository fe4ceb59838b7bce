// Package labels lays out what is stuck on a piece or goes along with it on paper:
// sheets of labels, the square code on each, and the reading of such a code. Lengths are
// millimetres from the upper left corner. It draws nothing itself but the PDF: a
// [Drawing] is texts and squares at their places, which a page draws as SVG.
//
// The square code is QR Code (ISO/IEC 18004), level M or better, with the quiet zone of
// four modules around it. It holds an address of the shop, so that any reader opens the
// piece; Scumble itself takes only the code out of it, and so a label outlives the
// server's address.
//
// The package knows no database, no HTTP and no clock. What a label is called and which
// pieces have one is for others.
package labels
