package main

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/pricing"
)

// checkLayer looks at what the owner has set from the chat over the rules file, and
// says what it changes.
func checkLayer(ctx context.Context, l *ledger.Ledger, files business) finding {
	const what = "set in the chat"
	rules, words, _, err := business{Rules: files.Rules, Words: files.Words}.load()
	if err != nil {
		return wrong(what, "cannot be compared with files that have mistakes", "see the lines above")
	}
	loaded, err := l.Load(ctx, "", conversations.LayerKey)
	if err != nil {
		return wrong(what, err.Error(), "see redis above")
	}
	doc := loaded.Docs[conversations.LayerKey]
	if doc.Version == 0 {
		return well(what, "nothing; the rules file alone counts")
	}
	var layer pricing.Layer
	if err := json.Unmarshal(doc.Body, &layer); err != nil {
		return wrong(what, "cannot be read: "+err.Error(), "send \"changes\" to the desk and go back to the file")
	}
	if err := rules.CheckLayer(layer); err != nil {
		return wrong(what, fmt.Sprintf("version %d does not go with this rules file: %v", layer.Version, err), "send \"what is set\" to the desk and set that anew")
	}
	lines := conversations.DescribeLayer(words, rules, layer)
	if len(lines) == 0 {
		return well(what, "version %d, which changes nothing", layer.Version)
	}
	return well(what, "version %d: %s", layer.Version, strings.Join(lines, "; "))
}
