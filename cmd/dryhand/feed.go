package main

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"net/http"
)

// feedPath is where the owner's calendar can be subscribed to. Its secret follows
// from the bot's token: who knows the token may read everything anyway, and it
// changes when the token does.
func feedPath(token string) string {
	mac := hmac.New(sha256.New, []byte(token))
	mac.Write([]byte("diary feed"))
	return "/diary/" + hex.EncodeToString(mac.Sum(nil)[:16]) + ".ics"
}

// serveFeed answers a calendar program.
func (p *parts) serveFeed(w http.ResponseWriter, r *http.Request) {
	feed, err := p.desk.Feed(r.Context())
	if err != nil {
		p.log.Error("feed cannot be made", "err", err)
		http.Error(w, "the diary cannot be read at the moment", http.StatusServiceUnavailable)
		return
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	w.Header().Set("Cache-Control", "private, max-age=300")
	w.Write(feed)
}
