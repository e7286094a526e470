package ledger

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// Record is one thing the ledger holds, as it is exported and restored. As JSON,
// a body that is compact JSON itself stays readable under "body"; any other is
// base64 under "raw".
type Record struct {
	// Kind is "doc", "due", "out", "op", "aside" or "count".
	Kind string `json:"kind"`
	// Key is the document's key, the due item's id, the message's chat|sequence,
	// the event's name, the aside's key or the count's name.
	Key string `json:"key"`
	// At is when the due item falls due, the event was applied or the thing was
	// put aside.
	At time.Time `json:"at,omitzero"`
	// Version and Links are a document's.
	Version int64    `json:"version,omitempty"`
	Links   []string `json:"links,omitempty"`
	// Attempt, Began, Once and NotAfter are a message's.
	Attempt  int       `json:"attempt,omitempty"`
	Began    bool      `json:"began,omitempty"`
	Once     bool      `json:"once,omitempty"`
	NotAfter time.Time `json:"not_after,omitzero"`
	// Of and Reason are an aside's kind and reason.
	Of     string `json:"of,omitempty"`
	Reason string `json:"reason,omitempty"`
	// Count is a count's value.
	Count int64  `json:"count,omitempty"`
	Body  []byte `json:"-"`
}

// The kinds of records.
const (
	recordDoc   = "doc"
	recordDue   = "due"
	recordOut   = "out"
	recordOp    = "op"
	recordAside = "aside"
	recordCount = "count"
)

// plainRecord has a Record's fields and not its methods.
type plainRecord Record

type recordJSON struct {
	plainRecord
	Body json.RawMessage `json:"body,omitempty"`
	Raw  []byte          `json:"raw,omitempty"`
}

// MarshalJSON encodes the record on one line.
func (r Record) MarshalJSON() ([]byte, error) {
	j := recordJSON{plainRecord: plainRecord(r)}
	if same, err := json.Marshal(json.RawMessage(r.Body)); err == nil && utf8.Valid(r.Body) && bytes.Equal(same, r.Body) {
		j.Body = r.Body
	} else {
		j.Raw = r.Body
	}
	return json.Marshal(j)
}

// UnmarshalJSON decodes a record. Names it does not know are an error: leaving
// them out would lose what a newer release has written.
func (r *Record) UnmarshalJSON(data []byte) error {
	var j recordJSON
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&j); err != nil {
		return fmt.Errorf("ledger: record: %w", err)
	}
	if len(j.Body) > 0 && len(j.Raw) > 0 {
		return errors.New("ledger: record: both body and raw")
	}
	*r = Record(j.plainRecord)
	if r.Body = j.Body; len(j.Raw) > 0 {
		r.Body = j.Raw
	}
	return nil
}

// stored is a record as restore.lua takes it: what is stored, and the number that
// goes with it (version, moment, sequence or count).
func (r Record) stored() (value, number string, err error) {
	switch r.Kind {
	case recordDoc:
		return r.storedDoc()
	case recordDue:
		return ms(r.At) + "|" + string(r.Body), ms(r.At), checkKey("due item", r.Key)
	case recordOut:
		return r.storedOut()
	case recordOp:
		if r.Key == "" {
			return "", "", errors.New("ledger: record of an event without a name")
		}
		return "", ms(r.At), nil
	case recordAside:
		return asideHead(r.Of, r.Key, r.Reason) + string(r.Body), ms(r.At), nil
	case recordCount:
		return "", strconv.FormatInt(r.Count, 10), nil
	}
	return "", "", fmt.Errorf("ledger: record of unknown kind %q", r.Kind)
}

func (r Record) storedDoc() (value, number string, err error) {
	if r.Version <= 0 || r.Version > maxSeq {
		return "", "", fmt.Errorf("ledger: record of document %s: version %d", r.Key, r.Version)
	}
	for _, link := range r.Links {
		if err := checkKey("link", link); err != nil {
			return "", "", err
		}
	}
	number = strconv.FormatInt(r.Version, 10)
	return number + "|" + strings.Join(r.Links, " ") + "|" + string(r.Body), number, checkKey("document", r.Key)
}

func (r Record) storedOut() (value, number string, err error) {
	chat, seq, _ := strings.Cut(r.Key, "|")
	n, err1 := strconv.ParseInt(seq, 10, 64)
	id, err2 := strconv.ParseInt(chat, 10, 64)
	if err1 != nil || err2 != nil || n < 0 || n > maxSeq || r.Key != fmt.Sprintf("%d|%016d", id, n) || r.Attempt < 0 {
		return "", "", fmt.Errorf("ledger: record of message %q: want chat|sequence of 16 digits", r.Key)
	}
	began := "0"
	if r.Began {
		began = "1"
	}
	m := Out{Once: r.Once, NotAfter: r.NotAfter}
	value = strconv.Itoa(r.Attempt) + "|" + began + "|" + m.flags() + "|" + string(r.Body)
	return value, strconv.FormatInt(n, 10), nil
}

// maxSeq is the largest number the scripts count to exactly, less room to go on.
const maxSeq = 1 << 52
