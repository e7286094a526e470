package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/pricing"
)

// What was set in the chat is told by check; a file it does not go with is found.
func TestCheckTellsWhatWasSetInTheChat(t *testing.T) {
	server := ledgertest.NewServer(t, "--appendonly", "yes", "--appendfsync", "always")
	_, found := checked(t, "--redis-url", server.URL())
	if f := found["set in the chat"]; !f.OK || !strings.Contains(f.Says, "the rules file alone") {
		t.Errorf("nothing was set, and check says %+v", f)
	}
	l, err := ledger.New(ledgertest.Client(t, server.URL()), "desk")
	if err != nil {
		t.Fatal(err)
	}
	rate := pricing.Pence(4200)
	body, err := json.Marshal(pricing.Layer{Version: 4, Rate: &rate, Unused: []string{"wax"}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := l.Commit(t.Context(), ledger.Change{Op: "set", Now: time.Now(), Read: map[string]int64{conversations.LayerKey: 0}, Put: []ledger.Doc{{Key: conversations.LayerKey, Body: body}}}); err != nil {
		t.Fatal(err)
	}
	_, found = checked(t, "--redis-url", server.URL())
	if f := found["set in the chat"]; !f.OK || !strings.Contains(f.Says, "version 4: Rate: £42 an hour (the file says £40 an hour); Protections: ") {
		t.Errorf("check says %+v", f)
	}
	// A file in which there is no wax any more.
	name := filepath.Join(t.TempDir(), "rules.yaml")
	src := strings.ReplaceAll(string(pricing.DefaultYAML()), "applies: wax", "applies: spray-sealant")
	if err := os.WriteFile(name, []byte(src), 0o600); err != nil {
		t.Fatal(err)
	}
	_, found = checked(t, "--redis-url", server.URL(), "--rules", name)
	if f := found["set in the chat"]; f.OK || !strings.Contains(f.Says, `"wax" is unknown`) {
		t.Errorf("check says %+v of a file without wax", f)
	}
}
