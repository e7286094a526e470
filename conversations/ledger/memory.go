package ledger

import "sync"

// memory is what this process last saw of documents, so that an event of somebody who
// is in the middle of a conversation needs no load. It may be out of date, and need not
// know it: the commit compares the versions of everything the decision rests on, brings
// what has moved, and versions are never given twice.
//
// Two halves make it forget what was not asked for lately, without keeping an order.
type memory struct {
	mu         sync.Mutex
	young, old map[string]Doc
	// size is about how many bytes the young half holds.
	size int
}

// mostRemembered bounds each half, in bytes: together some thousand conversations.
const mostRemembered = 4 << 20

// Recall is a [Ledger.Load] of what this process remembers, without asking the store,
// false if it does not remember all of it. What it returns may have moved since, and
// whether an event was seen it cannot tell: it is good for a decision that is then
// committed, and for nothing else.
func (l *Ledger) Recall(keys ...string) (Loaded, bool) {
	l.memory.mu.Lock()
	defer l.memory.mu.Unlock()
	return follow(keys, l.memory.find)
}

// find looks for a document; what is asked for grows young again.
func (m *memory) find(key string) (Doc, bool) {
	d, known := m.young[key]
	if !known {
		if d, known = m.old[key]; known {
			m.put(d)
		}
	}
	return d, known
}

// keep remembers documents as the store has shown them. Of two replies that overtook
// each other the newer counts; one that is not there has no version to tell by, and to
// be wrong about it costs a conflict.
func (m *memory) keep(docs []Doc) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, d := range docs {
		if have, known := m.find(d.Key); !known || d.Version == 0 || d.Version > have.Version {
			m.put(d)
		}
	}
}

// committed remembers what a change has made of its documents.
func (m *memory) committed(c Change, version int64) {
	docs := make([]Doc, 0, len(c.Put)+len(c.Drop))
	for _, d := range c.Put {
		d.Version = version
		docs = append(docs, d)
	}
	for _, key := range c.Drop {
		docs = append(docs, Doc{Key: key})
	}
	m.keep(docs)
}

func (m *memory) put(d Doc) {
	if m.size > mostRemembered || m.young == nil {
		m.young, m.old, m.size = map[string]Doc{}, m.young, 0
	}
	if had, known := m.young[d.Key]; known {
		m.size -= had.size()
	}
	m.young[d.Key] = d
	m.size += d.size()
}

// size is about how many bytes it takes to remember a document.
func (d Doc) size() int {
	const around = 100 // its place in a map
	n := len(d.Key) + len(d.Body) + around
	for _, link := range d.Links {
		n += len(link) + 16
	}
	return n
}

func (m *memory) clear() {
	m.mu.Lock()
	defer m.mu.Unlock()
	m.young, m.old, m.size = nil, nil, 0
}
