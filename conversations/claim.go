package conversations

import (
	"crypto/sha256"
	"crypto/subtle"
	"encoding/json"
	"strings"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations/wording"
)

// OwnerKey is the key of the document that says whose the business is.
const OwnerKey = "owner"

// Ownership is the content of the document "owner".
type Ownership struct {
	Chat bot.ChatID `json:"chat"`
}

// claimPrefix begins the payload of the link that makes somebody the owner. A
// payload may hold letters, digits, "_" and "-" (core.telegram.org/bots/features#deep-linking).
const claimPrefix = "claim-"

// ClaimPayload is what stands behind "?start=" in the link for a code.
func ClaimPayload(code string) string { return claimPrefix + code }

// ClaimDigest is what is kept of a code, so that whoever reads memory or logs
// cannot claim with it.
func ClaimDigest(code string) [sha256.Size]byte { return sha256.Sum256([]byte(code)) }

// claimed makes the sender of the right code the owner, if nobody is. It reports
// false for anything else, which is then an ordinary start.
func (t *turn) claimed(c *Chat, body string) bool {
	code, ok := strings.CutPrefix(strings.TrimPrefix(body, "/start "), claimPrefix)
	if !ok || t.Owner != 0 || t.Claim == nil {
		return false
	}
	got := ClaimDigest(code)
	if subtle.ConstantTimeCompare(got[:], t.Claim[:]) != 1 {
		return false
	}
	var now Ownership
	t.read(OwnerKey, &now)
	if len(t.out.Need) > 0 {
		return true // comes again with the document
	}
	if now.Chat != 0 {
		return false // somebody was quicker
	}
	doc, err := json.Marshal(Ownership{Chat: c.ID})
	if err != nil {
		t.fail(err)
		return true
	}
	t.out.Put = append(t.out.Put, Doc{Key: OwnerKey, Body: doc})
	t.out.Claimed = c.ID
	t.tell(c.ID, wording.OwnerHello, wording.Facts{}, t.deskWays()...)
	return true
}
