package main

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"example.org/dryhand/bot/telegram"
)

// photo has people send a picture of 12 megapixels as a file, which the platform does
// not make smaller, and looks what a real bot takes to fetch it, decode it and measure
// it. Beside it stands a thumbnail of the same file by another program.
func (l *lab) photo(ctx context.Context) ([]figure, error) {
	s, p, err := l.surroundings(ctx)
	if err != nil {
		return nil, err
	}
	picture, err := large(pick(l, 4000, 400), pick(l, 3000, 300))
	if err != nil {
		return nil, err
	}
	file := filepath.Join(l.dir, "picture.jpg")
	if err := os.WriteFile(file, picture, 0o600); err != nil {
		return nil, err
	}
	var ours, theirs, ratio []float64
	for n := range l.rounds {
		one, _, err := l.photographed(ctx, s, p, fmt.Sprint("photo", n), picture, pick(l, 3, 1))
		if err != nil {
			return nil, err
		}
		ours = append(ours, one)
		if other, err := thumbnail(ctx, file); err == nil {
			theirs, ratio = append(theirs, other), append(ratio, one/max(other, 1))
		}
	}
	_, most, err := l.photographed(ctx, s, p, "ten", picture, 10)
	if err != nil {
		return nil, err
	}
	mp := fmt.Sprintf("photo of %s MB: ", short(float64(len(picture))/1e6))
	f := figure{What: mp + "CPU", Measured: short(median(ours)) + " ms", Unit: "ms"}.over(ours)
	if len(theirs) > 0 {
		f.Anchor, f.Unit = "vipsthumbnail "+short(median(theirs))+" ms", "x"
		f = f.over(ratio)
		f.Note = "the thumbnail is made while decoding, at an eighth to a half of the size, and looks at nothing"
	} else {
		f.Note = "vipsthumbnail is not installed (Debian: libvips-tools): nothing to compare with"
	}
	return []figure{f, figure{What: mp + "memory at most, ten at once", Measured: short(most/1e6) + " MB", Unit: "MB", Value: most / 1e6}.atMost(mostMemory)}, nil
}

// mostMemory is what ten photos at once may take, in MB: one is decoded at a time, to
// 18 MB of pixels and some more while they are reduced, beside the files of 20 MB at
// most and the bot itself.
const mostMemory = 200

// photographed has n people send a picture at the same moment to a bot of its own. It
// returns the CPU of each in milliseconds, and the bot's memory at most in bytes.
func (l *lab) photographed(ctx context.Context, s *store, p *platform, name string, picture []byte, n int) (each, most float64, err error) {
	b, err := l.startBot(s, p, name, name)
	if err != nil {
		return 0, 0, err
	}
	defer b.stop()
	client, err := telegram.NewClient(token, p.url)
	if err != nil {
		return 0, 0, err
	}
	defer client.Close()
	if err := client.Register(ctx, b.hook, secret); err != nil {
		return 0, 0, err
	}
	before, err := b.cpu()
	if err != nil {
		return 0, 0, err
	}
	for i := range n {
		p.Person(chatOf(i), "Ann").SendFile("car.jpg", "image/jpeg", picture)
	}
	if err := b.until(func() bool {
		said, _ := os.ReadFile(b.log)
		return strings.Count(string(said), `"kind":"photo"`) >= 2*n
	}); err != nil {
		return 0, 0, err
	}
	after, err := b.cpu()
	if err != nil {
		return 0, 0, err
	}
	most, err = b.memory("VmHWM")
	return float64((after - before).Milliseconds()) / float64(n), most, err
}

// thumbnail has the other program make a thumbnail as large as what the bot measures,
// and returns its CPU in milliseconds.
func thumbnail(ctx context.Context, file string) (float64, error) {
	c := exec.CommandContext(ctx, "vipsthumbnail", file, "--size", "1024", "-o", "small.jpg")
	if err := c.Run(); err != nil {
		return 0, err
	}
	return float64((c.ProcessState.UserTime() + c.ProcessState.SystemTime()).Microseconds()) / 1000, nil
}

// large is a picture with light, edges and grain, as much to decode as a photograph.
func large(width, height int) ([]byte, error) {
	rnd := rand.New(rand.NewPCG(12, 11))
	img := image.NewYCbCr(image.Rect(0, 0, width, height), image.YCbCrSubsampleRatio420)
	for y := range height {
		for x := range width {
			light := 120 + 50*math.Sin(float64(x)/37) + 40*math.Sin(float64(x+y)/211) + float64(rnd.IntN(17))
			if (x/90+y/70)%5 == 0 {
				light /= 2
			}
			img.Y[img.YOffset(x, y)] = uint8(light)
			img.Cb[img.COffset(x, y)], img.Cr[img.COffset(x, y)] = uint8(110+x*30/width), color.Gray{Y: uint8(140 - y*30/height)}.Y
		}
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90})
	return b.Bytes(), err
}
