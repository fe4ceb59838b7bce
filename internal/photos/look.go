package photos

import (
	"bytes"
	"image"
	"image/jpeg"
	"image/png"
	"io"
	"slices"

	"github.com/bep/imagemeta"
	"golang.org/x/image/webp"

	"scumble/internal/restoration"
)

// format is a kind of file that can be read.
type format struct {
	name   string
	magic  func(file []byte) bool
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
	meta   imagemeta.ImageFormat
}

func formats() []format {
	return []format{
		{"JPEG", begins("\xff\xd8\xff"), jpeg.DecodeConfig, jpeg.Decode, imagemeta.JPEG},
		{"PNG", begins("\x89PNG\r\n\x1a\n"), png.DecodeConfig, png.Decode, imagemeta.PNG},
		{"WebP", func(f []byte) bool { return begins("RIFF")(f) && at(f, 8, "WEBP") }, webp.DecodeConfig, webp.Decode, imagemeta.WebP},
	}
}

func begins(magic string) func([]byte) bool {
	return func(file []byte) bool { return bytes.HasPrefix(file, []byte(magic)) }
}

func at(file []byte, offset int, want string) bool {
	return len(file) >= offset && bytes.HasPrefix(file[offset:], []byte(want))
}

// heifBrands are the words with which files of the HEIF family begin (ISO/IEC 23008-12):
// still pictures, sequences and AVIF.
var heifBrands = []string{"heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1", "avif", "avis"}

func isHEIF(file []byte) bool {
	return at(file, 4, "ftyp") && slices.ContainsFunc(heifBrands, func(b string) bool { return at(file, 8, b) })
}

// look tells what a file is, and refuses what can't or may not be read, before any of
// its pixels are.
func look(file []byte) (format, error) {
	if len(file) > MaxBytes {
		return format{}, invalid("This file has %d MB; a photo may have %d. Take it again at a smaller size.", len(file)>>20, MaxBytes>>20)
	}
	i := slices.IndexFunc(formats(), func(f format) bool { return f.magic(file) })
	switch {
	case isHEIF(file):
		return format{}, invalid("This is a HEIC photo, which can't be read here. Set the camera to take JPEG, or take the photo with the button on this page.")
	case len(file) == 0:
		return format{}, invalid("The file is empty. Choose the photo again.")
	case i < 0:
		return format{}, invalid("This file is no photo that can be read here. Choose a JPEG, PNG or WebP file.")
	}
	f := formats()[i]
	c, err := f.config(bytes.NewReader(file))
	switch {
	case err != nil:
		return format{}, cutShort()
	case c.Width < 1 || c.Height < 1:
		return format{}, invalid("This photo has no size. Choose another.")
	case c.Width > MaxSide || c.Height > MaxSide || c.Width*c.Height > MaxPixels:
		return format{}, invalid("This photo has %d × %d pixels; %d million is the most. Take it again at a smaller size.", c.Width, c.Height, MaxPixels/1_000_000)
	}
	return f, nil
}

func cutShort() error {
	return invalid("This photo is damaged or was cut short on its way. Send it again, or take it again.")
}

func invalid(text string, args ...any) error {
	return restoration.Problemf(restoration.TroubleInvalid, "photo", text, args...)
}
