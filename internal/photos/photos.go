// Package photos takes in pictures that people send: it checks them, turns them the
// way they were held, shrinks them and writes them anew, so that nothing of what a
// camera hides in a file (where it was taken, by whom, with what) is kept.
//
// Sizes are in pixels, of the turned picture. What is wrong with a file comes back as
// a [restoration.Problem] that says what to do. Nothing is read before it is known
// how much memory that takes.
package photos

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"image"
	"image/jpeg"
	"io"

	"scumble/internal/restoration"
)

// The bounds of a photo, as it comes and as it is kept.
const (
	MaxBytes  = 20 << 20   // of a file
	MaxPixels = 50_000_000 // width × height
	MaxSide   = 20_000     // of a file
	Large     = 2048       // the longer side of the kept picture, at most
	Small     = 480        // and of its thumbnail
)

// quality is that of the JPEG that is kept.
const quality = 85

// atOnce is how many photos are decoded at a time: one of the largest takes some 300 MB.
const atOnce = 2

// ID names a photo by what is on it: the SHA-256 of the large picture.
type ID [sha256.Size]byte

// String is the ID in lower-case hexadecimal.
func (id ID) String() string { return hex.EncodeToString(id[:]) }

// ParseID reads an ID as String writes it.
func ParseID(s string) (ID, error) {
	var id ID
	if len(s) != hex.EncodedLen(len(id)) {
		return ID{}, restoration.Problemf(restoration.TroubleNotFound, "", "There is no such photo.")
	}
	if _, err := hex.Decode(id[:], []byte(s)); err != nil {
		return ID{}, restoration.Problemf(restoration.TroubleNotFound, "", "There is no such photo.")
	}
	return id, nil
}

// Picture is a JPEG without metadata.
type Picture struct {
	JPEG          []byte
	Width, Height int
}

// Photo is a picture in the two sizes in which it is kept.
type Photo struct {
	ID    ID
	Large Picture
	Small Picture
}

// Intake takes photos in, no more than two at a time. It may be used by many at once.
type Intake struct{ slots chan struct{} }

// NewIntake makes an Intake.
func NewIntake() *Intake { return &Intake{slots: make(chan struct{}, atOnce)} }

// Take makes of a file what is kept of it. The same file gives the same photo. It waits
// for its turn, and gives up when ctx ends.
func (in *Intake) Take(ctx context.Context, file []byte) (Photo, error) {
	format, err := look(file)
	if err != nil {
		return Photo{}, err
	}
	leave, err := in.enter(ctx)
	if err != nil {
		return Photo{}, err
	}
	defer leave()
	return remake(file, format)
}

// TakeFrom is [Intake.Take] of a file that is read only when its turn has come, so that
// photos that wait take no memory.
func (in *Intake) TakeFrom(ctx context.Context, r io.Reader) (Photo, error) {
	leave, err := in.enter(ctx)
	if err != nil {
		return Photo{}, err
	}
	defer leave()
	file, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Photo{}, fmt.Errorf("read the photo: %w", err)
	}
	format, err := look(file)
	if err != nil {
		return Photo{}, err
	}
	return remake(file, format)
}

// enter waits for a turn, which leave gives back.
func (in *Intake) enter(ctx context.Context) (leave func(), err error) {
	select {
	case in.slots <- struct{}{}:
		return func() { <-in.slots }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// remake decodes, turns, shrinks and writes a file that has been looked at.
func remake(file []byte, f format) (Photo, error) {
	img, err := f.decode(bytes.NewReader(file))
	if err != nil {
		return Photo{}, cutShort()
	}
	// Shrunk first: turning fewer pixels is cheaper.
	large := turn(shrink(img, Large), orientation(file, f))
	var p Photo
	if p.Large, err = write(large); err != nil {
		return Photo{}, err
	}
	if p.Small, err = write(shrink(large, Small)); err != nil {
		return Photo{}, err
	}
	p.ID = sha256.Sum256(p.Large.JPEG)
	return p, nil
}

func write(img image.Image) (Picture, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return Picture{}, err
	}
	return Picture{JPEG: b.Bytes(), Width: img.Bounds().Dx(), Height: img.Bounds().Dy()}, nil
}
