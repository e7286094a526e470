package main

import (
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot/standin/page"
	"example.org/dryhand/conversations"
)

// The page of "try" has words for whatever may fall due, and each says whose it is.
func TestEveryKindThatFallsDueHasItsWords(t *testing.T) {
	for _, kind := range conversations.Kinds() {
		words := dueWords(conversations.Came{Kind: kind}, conversations.Enquiry{Name: "Ellie"}, time.Time{})
		if words == kind || !strings.Contains(words, "Ellie") && kind != conversations.CameEvening {
			t.Errorf("%s: %q", kind, words)
		}
	}
	if got := dueWords(conversations.Came{Kind: "birthday"}, conversations.Enquiry{Name: "Ellie"}, time.Time{}); got != "birthday" {
		t.Errorf("a kind there is not is %q", got)
	}
}

// A reminder of a request is not the end of it: that is when the customer was told.
func TestARequestIsRemindedOfAndThenOver(t *testing.T) {
	until := time.Date(2027, 3, 31, 10, 0, 0, 0, time.UTC)
	of := conversations.Enquiry{Name: "Marcus", From: until}
	ask := conversations.Came{Kind: conversations.CameAsk}
	if got := dueWords(ask, of, until.Add(-time.Hour)); !strings.Contains(got, "reminded") {
		t.Errorf("before the time is over: %q", got)
	}
	if got := dueWords(ask, of, until); strings.Contains(got, "reminded") || !strings.HasPrefix(got, "Marcus hears") {
		t.Errorf("when it is over: %q", got)
	}
}

// While an answer is being changed, the last hill of the same price is drawn; another
// price, or another enquiry's, has none until it is known.
func TestTheLastHillOfThePrice(t *testing.T) {
	var h hills
	known := page.Spread{Low: 80, Likely: 90, High: 110, Steps: []page.Step{{From: 80, To: 110, P: 1}}, Above: .2}
	if got := h.last("a", known); len(got.Steps) != 1 {
		t.Fatal("what is known is not what is drawn")
	}
	open := page.Spread{Low: 80, Likely: 90, High: 110}
	if got := h.last("a", open); len(got.Steps) != 1 || got.Above != .2 {
		t.Errorf("the price stands, and its hill has become %+v", got)
	}
	if got := h.last("b", open); len(got.Steps) != 0 {
		t.Error("somebody else's hill is drawn")
	}
	open.Likely = 85
	if got := h.last("a", open); len(got.Steps) != 0 {
		t.Error("another price has the hill of the last")
	}
}
