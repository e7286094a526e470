package standin

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"net/http"
	"path"
	"strconv"
	"strings"
	"sync"
	"time"
)

// linkLife is how long a download link is good after getFile: the platform
// promises at least an hour (core.telegram.org/bots/api#getfile).
const linkLife = time.Hour

// file is something the platform holds.
type file struct {
	id, unique string
	path       string
	data       []byte
	until      time.Time // the download link is good before
	photo      []wirePhoto
	document   *wireDocument
}

// files are what the platform holds, guarded by the stand-in's mu, and the sizes
// of pictures it has seen, with a lock of their own because they take long.
type files struct {
	n      int
	byID   map[string]*file
	byPath map[string]*file

	rendering *sync.Mutex
	rendered  map[[sha256.Size]byte][]rendition
}

func newFiles() files {
	return files{byID: map[string]*file{}, byPath: map[string]*file{}, rendering: &sync.Mutex{}, rendered: map[[sha256.Size]byte][]rendition{}}
}

// render is renditions, remembered.
func (f *files) render(data []byte) ([]rendition, error) {
	f.rendering.Lock()
	defer f.rendering.Unlock()
	sum := sha256.Sum256(data)
	if sizes, ok := f.rendered[sum]; ok {
		return sizes, nil
	}
	sizes, err := renditions(data)
	if err == nil {
		f.rendered[sum] = sizes
	}
	return sizes, err
}

// add keeps data under new ids. As at the platform, the same content has the
// same unique id however often it comes, and a new file id each time. The caller
// holds mu.
func (f *files) add(folder, extension string, data []byte) *file {
	f.n++
	sum := sha256.Sum256(data)
	unique := base64.RawURLEncoding.EncodeToString(sum[:9])
	added := &file{id: fmt.Sprintf("BQ%s%06d", base64.RawURLEncoding.EncodeToString(sum[9:27]), f.n), unique: unique,
		path: folder + "/file_" + strconv.Itoa(f.n) + extension, data: data}
	f.byID[added.id], f.byPath[added.path] = added, added
	return added
}

func (f *files) addPhoto(sizes []rendition) (photo []wirePhoto) {
	var added []*file
	for _, size := range sizes {
		one := f.add("photos", ".jpg", size.data)
		added = append(added, one)
		photo = append(photo, wirePhoto{ID: one.id, Unique: one.unique, Width: size.width, Height: size.height, Size: len(size.data)})
	}
	for _, one := range added {
		one.photo = photo
	}
	return photo
}

func (f *files) addDocument(u upload) *wireDocument {
	added := f.add("documents", strings.ToLower(path.Ext(u.name)), u.data)
	added.document = &wireDocument{ID: added.id, Unique: added.unique, Name: u.name, MIME: u.mime, Size: len(u.data)}
	return added.document
}

func (s *Standin) nextAlbum() string {
	s.last.album++
	return strconv.FormatInt(13_000_000_000_000_000+s.last.album, 10)
}

// held finds a file the bot names by its id.
func (s *Standin) held(id string) (*file, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	one := s.files.byID[id]
	switch {
	case strings.HasPrefix(id, "http://"), strings.HasPrefix(id, "https://"):
		return nil, badRequest("stand-in: sending by URL is not played")
	case one == nil:
		return nil, badRequest("wrong file identifier/HTTP URL specified")
	}
	return one, nil
}

// photoOf is the photo a call sends: uploaded in the named part, or held.
func (s *Standin) photoOf(p params, part, id string) ([]wirePhoto, error) {
	u, uploaded := p.files[part]
	if !uploaded {
		one, err := s.held(id)
		if err == nil && one.photo == nil {
			err = badRequest("can't use file of type Document as Photo")
		}
		if err != nil {
			return nil, err
		}
		return one.photo, nil
	}
	if len(u.data) > maxPhoto {
		return nil, badRequest("file of size %d bytes is too big for a photo; the maximum size is %d bytes", len(u.data), maxPhoto)
	}
	sizes, err := s.files.render(u.data)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	photo := s.files.addPhoto(sizes)
	for i := range photo {
		photo[i].Name = u.name
	}
	return photo, nil
}

// documentOf is the document a call sends: uploaded in the named part, or held.
func (s *Standin) documentOf(p params, part, id string) (*wireDocument, error) {
	u, uploaded := p.files[part]
	if !uploaded {
		one, err := s.held(id)
		if err == nil && one.document == nil {
			err = badRequest("can't use file of type Photo as Document")
		}
		if err != nil {
			return nil, err
		}
		return one.document, nil
	}
	if len(u.data) == 0 {
		return nil, badRequest("file must be non-empty")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.files.addDocument(u), nil
}

func (s *Standin) getFile(p params) (any, error) {
	one, err := s.held(p.text["file_id"])
	if err != nil {
		return nil, badRequest("invalid file_id")
	}
	if len(one.data) > maxDownload {
		return nil, badRequest("file is too big")
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	one.until = s.clock.Now().Add(linkLife)
	return struct {
		ID     string `json:"file_id"`
		Unique string `json:"file_unique_id"`
		Size   int    `json:"file_size"`
		Path   string `json:"file_path"`
	}{one.id, one.unique, len(one.data), one.path}, nil
}

// File returns the content of a file by its id, for whoever shows a chat.
func (s *Standin) File(id string) (data []byte, ok bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	one, ok := s.files.byID[id]
	if !ok {
		return nil, false
	}
	return one.data, true
}

// serveFile answers a download. A link that was never given, or too long ago, is
// not found.
func (s *Standin) serveFile(w http.ResponseWriter, r *http.Request, name string) {
	who := Refusal{Method: Download}
	fault := s.takeFault(who)
	if fault.instead() {
		s.count(who, fault.refusal())
		fault.answer(w)
		return
	}
	s.mu.Lock()
	one := s.files.byPath[name]
	good := one != nil && s.clock.Now().Before(one.until)
	s.mu.Unlock()
	if !good {
		err := &refusal{Code: http.StatusNotFound, Description: "Not Found"}
		s.count(who, err)
		answer(w, nil, err)
		return
	}
	s.count(who, nil)
	w.Header().Set("Content-Type", "application/octet-stream")
	w.Header().Set("Content-Length", strconv.Itoa(len(one.data)))
	if fault != nil && fault.DropAfter {
		_, _ = w.Write(one.data[:len(one.data)/2])
		_ = http.NewResponseController(w).Flush()
	}
	fault.after(r.Context(), s)
	_, _ = bytes.NewReader(one.data).WriteTo(w) // the client may have gone
}
