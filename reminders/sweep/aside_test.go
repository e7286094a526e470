package sweep_test

import (
	"log/slog"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/desk"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/conversations/ledger/ledgertest"
	"example.org/dryhand/conversations/wording"
	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders/sweep"
)

// What a newer release asked to be reminded of, and what cannot be read, is set aside with
// all that is in it after a few tries, and the owner told; it is neither finished in silence
// nor tried for ever.
func TestWhatIsNotKnownIsSetAside(t *testing.T) {
	l, err := ledger.New(ledgertest.Client(t, ledgertest.NewServer(t).URL()), "aside")
	if err != nil {
		t.Fatal(err)
	}
	words, err := wording.Default()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 28, 9, 0, 0, 0, time.UTC)
	clock := func() time.Time { return now }
	talk := conversations.Talk{Rules: pricing.DefaultRules(), Words: words, Owner: 1, Zone: time.UTC}
	d := &desk.Desk{Ledger: l, Now: clock, Log: slog.New(slog.DiscardHandler), Talk: func() conversations.Talk { return talk }}
	s := &sweep.Sweep{Ledger: l, Desk: d, Now: clock, Log: slog.New(slog.DiscardHandler)}
	due := []ledger.Due{
		{ID: "birthday:2t-1", At: now, Body: []byte(`{"kind":"birthday","enquiry":"2t-1"}`)},
		{ID: "nudge:2t-2", At: now, Body: []byte(`{"kind":{"of":"the year after next"}}`)},
	}
	if _, err := l.Commit(t.Context(), ledger.Change{Op: "newer", Now: now, Set: due}); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if asides, err := l.Asides(t.Context(), 10); err != nil || len(asides) > 0 {
			t.Fatalf("set aside already: %v, %v", asides, err)
		}
		_, _ = s.Work(t.Context()) // says what failed; what comes of it is looked at
		now = now.Add(time.Minute)
	}
	asides, err := l.Asides(t.Context(), 10)
	if err != nil || len(asides) != 2 {
		t.Fatalf("set aside: %v, %v; want both", asides, err)
	}
	all := string(asides[0].Body) + string(asides[1].Body)
	for _, want := range []string{"birthday", "2t-1", "the year after next"} {
		if !strings.Contains(all, want) {
			t.Errorf("what is set aside does not hold %q: %s", want, all)
		}
	}
	told := 0
	err = l.Each(t.Context(), func(r ledger.Record) error {
		switch r.Kind {
		case "due":
			t.Errorf("still due: %s", r.Key)
		case "out":
			told++
		}
		return nil
	})
	if err != nil || told != 2 {
		t.Errorf("the owner was told %d times, %v; want once of each", told, err)
	}
}
