package ledger

import (
	"context"
	"fmt"
	"maps"
)

// CommitOrReload is Commit of a change that rests on everything a [Ledger.Load] of
// these keys has brought: Read, if set, is added to that. After Conflict it also
// returns what the same Load would bring now, so that the decision can be made
// anew at once. Mostly the refusal itself brought all that is needed, and only
// where a document that moved leads to one not loaded before is it asked for.
func (l *Ledger) CommitOrReload(ctx context.Context, c Change, loaded Loaded, keys ...string) (Outcome, Loaded, error) {
	c.Read = maps.Clone(c.Read)
	if c.Read == nil {
		c.Read = make(map[string]int64, len(loaded.Docs))
	}
	for key, d := range loaded.Docs {
		c.Read[key] = d.Version
	}
	outcome, moved, err := l.commit(ctx, c)
	if err != nil || outcome != Conflict {
		return outcome, Loaded{}, err
	}
	if again, whole := loaded.with(moved, keys); whole {
		return Conflict, again, nil
	}
	again, err := l.Load(ctx, c.Op, keys...)
	return Conflict, again, err
}

// with is what a load of keys brings after some documents have moved and none of
// the others has, false if that cannot be told without asking. The event had not
// been seen at that moment, or there had been no conflict.
func (loaded Loaded) with(moved []Doc, keys []string) (again Loaded, whole bool) {
	have := maps.Clone(loaded.Docs)
	for _, d := range moved {
		have[d.Key] = d
	}
	return follow(keys, func(key string) (Doc, bool) {
		d, known := have[key]
		return d, known
	})
}

// follow is what load.lua does, on documents at hand: breadth first, each once, the
// nearest first kept. It is not whole if one of them is not at hand.
func follow(keys []string, find func(key string) (Doc, bool)) (found Loaded, whole bool) {
	found.Docs = make(map[string]Doc, 2*len(keys))
	var queue []string
	want := func(key string) {
		if _, asked := found.Docs[key]; !asked && len(queue) < maxDocs {
			found.Docs[key] = Doc{}
			queue = append(queue, key)
		}
	}
	for _, key := range keys {
		want(key)
	}
	for i := 0; i < len(queue); i++ {
		d, known := find(queue[i])
		if !known {
			return Loaded{}, false
		}
		found.Docs[d.Key] = d
		for _, link := range d.Links {
			want(link)
		}
	}
	return found, true
}

// movedDocs reads the documents that a refused commit names.
func movedDocs(reply []any) ([]Doc, error) {
	if len(reply)%2 != 0 {
		return nil, fmt.Errorf("ledger: commit: reply of %d parts", len(reply))
	}
	docs := make([]Doc, 0, len(reply)/2)
	for i := 0; i < len(reply); i += 2 {
		key, ok1 := reply[i].(string)
		stored, ok2 := reply[i+1].(string)
		if !ok1 || !ok2 {
			return nil, fmt.Errorf("ledger: commit: reply of %T and %T", reply[i], reply[i+1])
		}
		d, err := parseDoc(key, stored)
		if err != nil {
			return nil, err
		}
		docs = append(docs, d)
	}
	return docs, nil
}
