// Package qrtest reads square codes in tests, by a decoder that shares nothing with the
// encoder.
package qrtest

import (
	"image"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/stretchr/testify/require"
)

// Read gives the text of the one square code in a picture.
func Read(t testing.TB, picture image.Image) string {
	t.Helper()
	bits, err := gozxing.NewBinaryBitmapFromImage(picture)
	require.NoError(t, err)
	found, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
	require.NoError(t, err)
	return found.GetText()
}
