package browsertest

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"path/filepath"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// AsPrinted shows the page as a printer would get it.
func (b *Tab) AsPrinted() {
	b.t.Helper()
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	require.NoError(b.t, err)
}

// Print prints the page at the size that its style asks for, as a PDF.
func (b *Tab) Print() []byte {
	b.t.Helper()
	yes := true
	out, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{PreferCSSPageSize: &yes})
	require.NoError(b.t, err)
	return out.Data
}

// Picture is what the whole page looks like, at so many dots for a CSS px.
func (b *Tab) Picture(d Device, scale float64) image.Image {
	b.t.Helper()
	b.Do(chromedp.EmulateViewport(d.W, d.H, chromedp.EmulateScale(scale)))
	shot, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	require.NoError(b.t, err)
	img, err := png.Decode(bytes.NewReader(shot))
	require.NoError(b.t, err)
	return img
}

// Keep writes a file where SCUMBLE_SHOTS names a folder.
func (b *Tab) Keep(name string, data []byte) {
	b.t.Helper()
	if dir := os.Getenv("SCUMBLE_SHOTS"); dir != "" {
		require.NoError(b.t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
}
