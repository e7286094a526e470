package conversations

import (
	"encoding/json"
	"fmt"
	"time"

	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
)

// What the owner sets from the chat lies over the rules file and is kept in two
// documents: what counts now, which every event loads, and how it came to that,
// which only he asks for.
const (
	// LayerKey is the key of the document of what lies over the rules file now, a
	// [pricing.Layer].
	LayerKey  = "settings"
	layersKey = "settings:past"
)

// Layers is the content of the document "settings:past": the changes from the
// chat, the latest last.
type Layers struct {
	Changes []Change `json:"changes,omitempty"`
}

// Change is one change from the chat.
type Change struct {
	// Version is what the layer became with it.
	Version int       `json:"version"`
	At      time.Time `json:"at"`
	// By is the name of who made it, What it in the words he read.
	By   string `json:"by,omitempty"`
	What string `json:"what"`
	// Was is what counted before.
	Was pricing.Layer `json:"was"`
}

// mostChanges is how many changes are remembered, and can be gone back over.
const mostChanges = 50

// layered lays what was set from the chat over the rules of the file. Every step
// begins with it, so that nothing behind it needs to know that there are two.
func (t *turn) layered() {
	var l pricing.Layer
	body := t.docs[LayerKey]
	if body == nil {
		return
	}
	if err := json.Unmarshal(body, &l); err != nil {
		t.fail(fmt.Errorf("conversations: document %s: %w", LayerKey, err))
		return
	}
	t.layer = l
	t.Rules = t.Worked.under(t.file, l, body)
	t.written = t.Rules
}

// setLayer keeps a new layer with the words for it, if the file's own checks let it
// pass; it reports false, and says why, if not.
func (t *turn) setLayer(c *Chat, next pricing.Layer, what string) bool {
	if err := t.file.CheckLayer(next); err != nil {
		t.tell(c.ID, wording.OwnerSettingWrong, wording.Facts{Text: firstMistake(err)}, t.runRow(named{runShow, wording.LabelWhatIsSet}))
		return false
	}
	var past Layers
	t.read(layersKey, &past)
	next.Version = t.layer.Version + 1
	past.Changes = append(past.Changes, Change{Version: next.Version, At: t.now, By: t.event.From.Name, What: what, Was: t.layer})
	if extra := len(past.Changes) - mostChanges; extra > 0 {
		past.Changes = past.Changes[extra:]
	}
	t.write(LayerKey, nil, next)
	t.write(layersKey, nil, past)
	t.layer = next
	t.Rules = t.file.Under(next)
	return true
}

// lastChange is the last change, nil if there is none that can be undone.
func (t *turn) lastChange() *Change {
	var past Layers
	t.read(layersKey, &past)
	if n := len(past.Changes); n > 0 && past.Changes[n-1].Version == t.layer.Version {
		return &past.Changes[n-1]
	}
	return nil
}
