package main

import (
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// The feed shows what is booked and nothing else, under its own address only.
func TestFeed(t *testing.T) {
	w := story(t, storyBegins+storyHeld+storyAsked+storyBooked)
	get := func(path string) *httptest.ResponseRecorder {
		r := httptest.NewRecorder()
		w.handler.ServeHTTP(r, httptest.NewRequest(http.MethodGet, path, nil))
		return r
	}
	r := get(feedPath(playedToken))
	body := r.Body.String()
	if r.Code != http.StatusOK || !strings.HasPrefix(body, "BEGIN:VCALENDAR\r\n") {
		t.Fatalf("%d\n%s", r.Code, body)
	}
	// Zuleika is booked for nine in the morning, summer time; Balthazar has only asked.
	if strings.Count(body, "BEGIN:VEVENT") != 1 || !strings.Contains(body, "DTSTART:20270414T080000Z") || !strings.Contains(body, "Zuleika") || strings.Contains(body, "Balthazar") {
		t.Errorf("%s", body)
	}
	if r := get("/diary/00000000000000000000000000000000.ics"); r.Code != http.StatusNotFound {
		t.Errorf("a guessed address answers %d", r.Code)
	}
	if feedPath("1:a") == feedPath("1:b") {
		t.Error("two tokens share an address")
	}
}
