package ledger

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Doc is a document. Body may hold any bytes, and belongs to the ledger once it has
// come from or gone to it: nobody changes it in place. Links name the documents wanted
// together with it; they need not exist. Keys are 1 to 256 bytes without
// spaces, control characters and '|'.
type Doc struct {
	Key string
	// Version is 0 for a document that does not exist. The versions of one
	// document rise, with gaps, and none is ever given twice.
	Version int64
	Links   []string
	Body    []byte
}

// Loaded is what Load found.
type Loaded struct {
	// Docs has every key that was asked for or linked to, and the missing ones
	// with Version 0.
	Docs map[string]Doc
	// Seen: the event has been applied or put aside already.
	Seen bool
}

// maxDocs bounds what one Load brings, to what a commit can rest on: a diary of
// more than a year, day by day, and whoever is in it.
const maxDocs = maxRead

// Load brings documents and, following Links however far, what they link to, in
// one round trip and all of one moment. At most 1024 come: links beyond that
// are left out, the nearest first kept. An empty op is never Seen.
func (l *Ledger) Load(ctx context.Context, op string, keys ...string) (Loaded, error) {
	if len(keys) > maxDocs {
		return Loaded{}, fmt.Errorf("ledger: load of %d documents: at most %d", len(keys), maxDocs)
	}
	args := make([]any, 0, 2+len(keys))
	args = append(args, op, maxDocs)
	for _, k := range keys {
		if err := checkKey("document", k); err != nil {
			return Loaded{}, err
		}
		args = append(args, k)
	}
	reply, err := l.run(ctx, loadScript, []string{l.key.docs, l.key.ops}, args...).StringSlice()
	if err != nil {
		return Loaded{}, fmt.Errorf("ledger: load: %w", err)
	}
	if len(reply)%2 != 1 {
		return Loaded{}, fmt.Errorf("ledger: load: reply of %d parts", len(reply))
	}
	loaded := Loaded{Seen: reply[0] == "1", Docs: make(map[string]Doc, len(reply)/2)}
	for i := 1; i < len(reply); i += 2 {
		d, err := parseDoc(reply[i], reply[i+1])
		if err != nil {
			return Loaded{}, err
		}
		loaded.Docs[d.Key] = d
	}
	l.memory.keep(slices.Collect(maps.Values(loaded.Docs)))
	return loaded, nil
}

// parseDoc reads version|links|body, and the empty string as no document.
func parseDoc(key, stored string) (Doc, error) {
	if stored == "" {
		return Doc{Key: key}, nil
	}
	f := strings.SplitN(stored, "|", 3)
	if len(f) != 3 {
		return Doc{}, fmt.Errorf("ledger: document %s: no version and links before its body", key)
	}
	version, err := strconv.ParseInt(f[0], 10, 64)
	if err != nil || version <= 0 {
		return Doc{}, fmt.Errorf("ledger: document %s: version %q", key, f[0])
	}
	d := Doc{Key: key, Version: version, Body: bytes.Clone([]byte(f[2]))}
	if f[1] != "" {
		d.Links = strings.Split(f[1], " ")
	}
	return d, nil
}
