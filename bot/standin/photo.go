package standin

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	_ "image/gif" // what a client can send as a photo
	"image/jpeg"
	_ "image/png"
	"slices"
	"sync"

	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp"
)

// boxes are the longest sides of the sizes a photo is kept in (m, x, y; from
// core.telegram.org/api/files#image-thumbnail-types, the pixels from memory).
// Never enlarged: a photo of 1000 pixels is kept in 320, 800 and 1000.
var boxes = []int{320, 800, 1280}

// quality of the JPEGs a photo becomes (from memory).
const quality = 87

// rendition is a photo in one size.
type rendition struct {
	data          []byte
	width, height int
}

// rendered keeps the renditions of the latest pictures by what they hold: plays send the
// same few again and again, and scaling is most of their time.
var rendered = struct {
	sync.Mutex
	of map[[sha256.Size]byte][]rendition
}{of: map[[sha256.Size]byte][]rendition{}}

// keptRenditions is how many pictures are kept, some megabytes of them.
const keptRenditions = 16

// renditions is render, done once for each picture of late. Nobody may change them.
func renditions(data []byte) ([]rendition, error) {
	sum := sha256.Sum256(data)
	rendered.Lock()
	all, known := rendered.of[sum]
	rendered.Unlock()
	if known {
		return slices.Clone(all), nil
	}
	all, err := render(data)
	if err != nil {
		return nil, err
	}
	rendered.Lock()
	defer rendered.Unlock()
	if len(rendered.of) >= keptRenditions {
		clear(rendered.of)
	}
	rendered.of[sum] = slices.Clone(all)
	return all, nil
}

// render makes a picture's sizes, smallest first. A JPEG that fits the largest
// box is kept byte for byte as the largest; everything else becomes a JPEG
// without metadata. Orientation tags are not applied.
func render(data []byte) ([]rendition, error) {
	frame, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return nil, badRequest("IMAGE_PROCESS_FAILED")
	}
	w, h := frame.Width, frame.Height
	if w+h > 10_000 || w > 20*h || h > 20*w { // core.telegram.org/bots/api#sendphoto
		return nil, badRequest("PHOTO_INVALID_DIMENSIONS")
	}
	picture, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, badRequest("IMAGE_PROCESS_FAILED")
	}
	longest := max(w, h)
	var all []rendition
	for _, box := range boxes {
		if box < longest {
			all = append(all, shrink(picture, box))
		}
	}
	switch {
	case longest > boxes[len(boxes)-1]:
	case format == "jpeg":
		all = append(all, rendition{data, w, h})
	default:
		all = append(all, shrink(picture, longest))
	}
	return all, nil
}

// shrink scales a picture so that its longer side is box pixels.
func shrink(picture image.Image, box int) rendition {
	w, h := picture.Bounds().Dx(), picture.Bounds().Dy()
	longest := max(w, h)
	w, h = max(1, (w*box+longest/2)/longest), max(1, (h*box+longest/2)/longest)
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.BiLinear.Scale(small, small.Bounds(), picture, picture.Bounds(), draw.Src, nil)
	var out bytes.Buffer
	if err := jpeg.Encode(&out, small, &jpeg.Options{Quality: quality}); err != nil {
		panic(fmt.Sprintf("standin: encoding a picture: %v", err)) // a buffer takes everything
	}
	return rendition{out.Bytes(), w, h}
}

// SendPhoto sends a picture the way clients send photos, with a caption that may
// be empty. It is an error if no client could: not a picture, or far too long.
func (p *Person) SendPhoto(data []byte, caption string) (int64, error) {
	ids, err := p.SendAlbum([][]byte{data}, caption)
	if err != nil {
		return 0, err
	}
	return ids[0], nil
}

// SendAlbum sends pictures together, with a caption on the first: one message
// each, in albums of at most ten. One picture is no album.
func (p *Person) SendAlbum(pictures [][]byte, caption string) (ids []int64, err error) {
	return p.pictures(nil, pictures, caption)
}

// ForwardAlbum sends on pictures that somebody sent elsewhere, as SendAlbum does.
func (p *Person) ForwardAlbum(of string, pictures [][]byte, caption string) (ids []int64, err error) {
	return p.pictures(p.s.origin(of), pictures, caption)
}

func (p *Person) pictures(from *wireOrigin, pictures [][]byte, caption string) (ids []int64, err error) {
	sizes := make([][]rendition, len(pictures))
	for i, data := range pictures {
		if sizes[i], err = p.s.files.render(data); err != nil {
			return nil, fmt.Errorf("standin: picture %d of %s: %w", i+1, p.name, err)
		}
	}
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	album := ""
	for i := range pictures {
		if i%maxAlbum == 0 {
			album = ""
			if len(pictures)-i > 1 {
				album = p.s.nextAlbum()
			}
		}
		ids = append(ids, p.write(wireMessage{Photo: p.s.files.addPhoto(sizes[i]), Album: album, Caption: caption, Origin: from}))
		caption = ""
	}
	return ids, nil
}

// SendFile sends data as it is, as a file with a name and a type.
func (p *Person) SendFile(name, mime string, data []byte) int64 {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	return p.write(wireMessage{Document: p.s.files.addDocument(upload{name, mime, data})})
}
