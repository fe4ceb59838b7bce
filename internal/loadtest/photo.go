package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/jpeg"
	"math/rand/v2"
	"mime/multipart"
	"net/http"
	"os"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"
)

const (
	photoWidth, photoHeight = 4000, 3000 // 12 MP
	photosInTurn            = 5
	photosAtOnce            = 8
	photoTime               = time.Second
	photoMemory             = 150_000_000 // bytes
)

// measurePhotos takes what one photo of 12 MP costs the program in time of a processor,
// and the largest resident size while several come at once.
func measurePhotos(ctx context.Context, s *site) ([]figure, error) {
	url, err := s.shop(ctx, 1)
	if err != nil {
		return nil, err
	}
	a, err := startApp(ctx, s.binary, "serve", "--database-url", url)
	if err != nil {
		return nil, err
	}
	defer a.stop()
	tablets, err := a.signInBench(ctx, 1)
	if err != nil {
		return nil, err
	}
	list, err := tablets[0].get(ctx, "/bench")
	if err != nil {
		return nil, err
	}
	piece := strings.TrimPrefix(string(pieceLink.Find(list)), "/bench/pieces/")
	photo, err := noisyPhoto()
	if err != nil {
		return nil, err
	}
	send := func() error { return tablets[0].photo(ctx, piece, photo) }
	if err := send(); err != nil { // not counted: it grows the heap
		return nil, err
	}
	each, wall, err := perPhoto(a.cmd.Process.Pid, send)
	if err != nil {
		return nil, err
	}
	var all errgroup.Group
	for range photosAtOnce {
		all.Go(send)
	}
	if err := all.Wait(); err != nil {
		return nil, err
	}
	size, err := peak(a.cmd.Process.Pid)
	return []figure{
		{Name: "intake of a photo of 12 MP", Limit: "≤ 1 s", Measured: short(each), Held: each <= photoTime,
			Detail: fmt.Sprintf("time of the processor, mean of %d of %.1f MB; %s by the clock", photosInTurn, mB(len(photo)), short(wall))},
		{Name: fmt.Sprintf("memory under %d photos at once", photosAtOnce), Limit: "≤ 150 MB", Measured: fmt.Sprintf("%.0f MB", mB(size)),
			Held: size <= photoMemory, Detail: "VmHWM; two are decoded at a time"},
	}, err
}

// perPhoto gives the mean of what a photo takes, in time of the processor and by the clock.
func perPhoto(pid int, send func() error) (each, wall time.Duration, err error) {
	before, err := processorTime(pid)
	if err != nil {
		return 0, 0, err
	}
	began := time.Now()
	for range photosInTurn {
		if err := send(); err != nil {
			return 0, 0, err
		}
	}
	wall = time.Since(began) / photosInTurn
	after, err := processorTime(pid)
	return (after - before) / photosInTurn, wall, err
}

// processorTime is what a process has had of all processors, where the kernel is Linux:
// user and system time of /proc/PID/stat, in hundredths of a second.
func processorTime(pid int) (time.Duration, error) {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		return 0, err
	}
	_, after, _ := strings.Cut(string(stat), ") ") // the name may hold blanks
	fields := strings.Fields(after)
	if len(fields) < 13 {
		return 0, fmt.Errorf("the kernel does not tell the time of process %d", pid)
	}
	var sum time.Duration
	for _, field := range fields[11:13] {
		ticks, err := strconv.Atoi(field)
		if err != nil {
			return 0, err
		}
		sum += time.Duration(ticks) * 10 * time.Millisecond
	}
	return sum, nil
}

// noisyPhoto is a JPEG as heavy as a camera's: grain of a sensor packs badly.
func noisyPhoto() ([]byte, error) {
	img := image.NewYCbCr(image.Rect(0, 0, photoWidth, photoHeight), image.YCbCrSubsampleRatio420)
	chance := rand.New(rand.NewPCG(1, 2))
	for i := range img.Y {
		img.Y[i] = uint8(100 + i%photoWidth*60/photoWidth + chance.IntN(24))
	}
	for i := range img.Cb {
		img.Cb[i], img.Cr[i] = 120, 136
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90})
	return b.Bytes(), err
}

// photo sends a photo of a piece as a tablet does; anything but applied is an error.
func (v *visitor) photo(ctx context.Context, piece string, file []byte) error {
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range map[string]string{"id": newID().String(), "piece": piece, "at": time.Now().UTC().Format(time.RFC3339Nano)} {
		if err := form.WriteField(name, value); err != nil {
			return err
		}
	}
	part, err := form.CreateFormFile("photo", "photo")
	if err != nil {
		return err
	}
	if _, err := part.Write(file); err != nil {
		return err
	}
	if err := form.Close(); err != nil {
		return err
	}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, v.base+"/bench/photos", &body)
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", form.FormDataContentType())
	r.Header.Set("Accept", "application/json")
	answer, err := v.do(r)
	if err != nil {
		return err
	}
	return applied("photo", answer)
}
