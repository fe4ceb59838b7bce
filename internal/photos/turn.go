package photos

import (
	"bytes"
	"image"

	"github.com/bep/imagemeta"
	"golang.org/x/image/draw"
)

// orientation reads how the camera was held, by Exif 2.32, tag 0x0112: 1 to 8. What
// can't be read is 1, upright: the picture is worth more than its turn.
func orientation(file []byte, f format) int {
	turned := 1
	_, err := imagemeta.Decode(imagemeta.Options{
		R: bytes.NewReader(file), ImageFormat: f.meta, Sources: imagemeta.EXIF, LimitNumTags: 1000,
		ShouldHandleTag: func(t imagemeta.TagInfo) bool { return t.Tag == "Orientation" && t.Namespace == "IFD0" },
		HandleTag: func(t imagemeta.TagInfo) error {
			if v, ok := t.Value.(uint16); ok && v >= 1 && v <= 8 {
				turned = int(v)
			}
			return imagemeta.ErrStopWalking
		},
	})
	if err != nil {
		return 1
	}
	return turned
}

// turn puts a picture upright that was taken with an orientation.
func turn(src *image.RGBA, orientation int) *image.RGBA {
	if orientation <= 1 || orientation > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	if orientation >= 5 {
		dst = image.NewRGBA(image.Rect(0, 0, h, w))
	}
	for y := range h {
		for x := range w {
			tx, ty := turned(x, y, w, h, orientation)
			copy(dst.Pix[dst.PixOffset(tx, ty):][:4], src.Pix[src.PixOffset(x, y):][:4])
		}
	}
	return dst
}

// turned tells where a point of a picture of w × h goes. The cases are what Exif says of
// row 0 and column 0 of the file: 6 is row 0 at the right, column 0 on top.
func turned(x, y, w, h, orientation int) (tx, ty int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	}
	return x, y
}

// shrink makes the longer side at most side, in steps of two at most: a bilinear step
// of a half is the mean of four pixels, so that none is lost, and needs no memory of its
// own. What is small enough is copied. White stands behind what is see-through.
func shrink(src image.Image, side int) *image.RGBA {
	w, h := src.Bounds().Dx(), src.Bounds().Dy()
	tw, th := fit(w, h, side)
	for {
		w, h = max(tw, (w+1)/2), max(th, (h+1)/2)
		dst := image.NewRGBA(image.Rect(0, 0, w, h))
		if opaque, ok := src.(interface{ Opaque() bool }); !ok || !opaque.Opaque() {
			draw.Draw(dst, dst.Rect, image.White, image.Point{}, draw.Src)
		}
		draw.ApproxBiLinear.Scale(dst, dst.Rect, src, src.Bounds(), draw.Over, nil)
		if w == tw && h == th {
			return dst
		}
		src = dst
	}
}

// fit gives the size of a picture of w × h whose longer side is at most side.
func fit(w, h, side int) (fw, fh int) {
	switch longer := max(w, h); {
	case longer <= side:
		return w, h
	case w >= h:
		return side, max(1, (h*side+w/2)/w)
	default:
		return max(1, (w*side+h/2)/h), side
	}
}
