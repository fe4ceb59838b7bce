package browsertest

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// Camera gives a browser a camera that always sees the picture, and leave to use it.
func Camera(t testing.TB, sees *image.Gray) []chromedp.ExecAllocatorOption {
	t.Helper()
	file := filepath.Join(t.TempDir(), "camera.y4m")
	require.NoError(t, os.WriteFile(file, film(sees), 0o600))
	return []chromedp.ExecAllocatorOption{
		chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-video-capture", file),
	}
}

// film is a few frames of the picture as uncompressed video (YUV4MPEG2): its grey, and
// no colour.
func film(picture *image.Gray) []byte {
	size := picture.Bounds().Size()
	var out bytes.Buffer
	fmt.Fprintf(&out, "YUV4MPEG2 W%d H%d F10:1 Ip A1:1 C420jpeg\n", size.X, size.Y)
	for range 5 {
		out.WriteString("FRAME\n")
		out.Write(picture.Pix)
		out.Write(bytes.Repeat([]byte{128}, size.X*size.Y/2))
	}
	return out.Bytes()
}
