package reminders_test

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/pricing"
	"example.org/dryhand/reminders"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// day is one message of care as "when: entries".
func day(m reminders.CareMessage) string {
	var ids []string
	for _, tip := range m.Tips {
		ids = append(ids, tip.ID)
	}
	return show(m.At) + ": " + strings.Join(slices.Compact(ids), " ")
}

func days(messages []reminders.CareMessage) []string {
	var out []string
	for _, m := range messages {
		out = append(out, day(m))
	}
	return out
}

// A washed and sealed car in the weeks of both clock changes: the care hour stays
// ten by the clock on the wall. Which days: common practice, no source.
func TestCare(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct {
		name string
		job  reminders.Job
		want []string
	}{
		{"sealed before the clocks go forward",
			reminders.Job{At: at(t, "2027-03-25 16:30"), Tasks: []string{"wash", "dress-tyres", "sealant"}, Protections: []string{"sealant"}},
			[]string{
				"Thu 2027-03-25 16:30 GMT: sealant brakes tyres",
				"Fri 2027-03-26 10:00 GMT: thanks",
				"Mon 2027-03-29 10:00 BST: sealant",
				"Thu 2027-04-15 10:00 BST: sealant",
			}},
		{"soft top proofed and seats wet before they go back",
			reminders.Job{At: at(t, "2027-10-30 15:00"), Tasks: []string{"soft-top-wash", "soft-top-proof", "fabric-extract"}, Protections: []string{"soft-top-proof"}},
			[]string{
				"Sat 2027-10-30 15:00 BST: soft-top-proof wet-seats",
				"Sun 2027-10-31 10:00 GMT: wet-seats soft-top thanks",
				"Sat 2027-11-06 10:00 GMT: wet-seats soft-top",
				"Sat 2027-12-25 10:00 GMT: soft-top",
			}},
		{"nothing that needs care", reminders.Job{At: at(t, "2027-06-01 15:00"), Tasks: []string{"vacuum"}},
			[]string{"Wed 2027-06-02 10:00 BST: thanks"}},
	} {
		if d := cmp.Diff(tt.want, days(s.Care(tt.job))); d != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, d)
		}
	}
}

// Cautions that must be told, and on which day at the latest. Common practice, no
// source; the letter of it is in the shipped rules.
func TestCautionsAreTold(t *testing.T) {
	s := setting(t)
	for _, tt := range []struct {
		done string
		day  int
		want string
	}{
		{"sealant", 0, `(?i)keep it dry for twelve hours`},
		{"sealant", 0, `(?i)no soap for three days`},
		{"sealant", 4, `(?i)mild shampoo.*no traffic film remover.*no brush wash`},
		{"ceramic-coating", 0, `(?i)don't wash it for a week`},
		{"ceramic-coating", 7, `(?i)first wash may come`},
		{"soft-top-wash", 0, `(?i)until the fabric is dry`},
		{"soft-top-proof", 0, `(?i)roof up and dry for a day`},
		{"soft-top-proof", 1, `(?i)never fold it wet`},
		{"fabric-extract", 0, `(?i)windows open`},
		{"fabric-shampoo", 0, `(?i)don't sit on them or fit child seats`},
		{"wheels-full", 0, `(?i)press gently a few times before you need them`},
		{"dress-tyres", 0, `(?i)never the tread`},
		{"engine-bay-wipe", 0, `(?i)never point a hose`},
		{"glass-repellent", 0, `(?i)wipers off for twelve hours`},
		{"lamp-seal", 0, `(?i)don't wash the lamps for a day`},
		{"wheel-seal", 14, `(?i)no acid`},
		{"leather", 7, `(?i)damp cloth`},
	} {
		job := reminders.Job{At: at(t, "2027-06-01 15:00"), Tasks: []string{tt.done}, Protections: []string{tt.done}}
		var said []string
		for _, m := range s.Care(job) {
			if m.At.Before(job.At.AddDate(0, 0, tt.day).Add(time.Hour)) {
				for _, tip := range m.Tips {
					said = append(said, tip.Words)
				}
			}
		}
		if !regexp.MustCompile(tt.want).MatchString(strings.Join(said, "\n")) {
			t.Errorf("%s: nothing like %q by day %d, only:\n%s", tt.done, tt.want, tt.day, strings.Join(said, "\n"))
		}
	}
}

// What contradicts itself is not told: under a coating the sealant's soap after
// four days, after proofing the plain wash's drying.
func TestCareDoesNotContradictItself(t *testing.T) {
	s := setting(t)
	job := reminders.Job{At: at(t, "2027-06-01 15:00"), Tasks: []string{"soft-top-wash", "soft-top-proof"},
		Protections: []string{"soft-top-proof", "spray-sealant", "sealant", "ceramic-coating"}}
	for _, m := range s.Care(job)[1:] {
		for _, tip := range m.Tips {
			if tip.ID == "sealant" || tip.ID == "short-lived" || tip.ID == "soft-top-drying" {
				t.Errorf("%s: %s: %s", show(m.At), tip.ID, tip.Words)
			}
		}
	}
}

// Whatever was done, each message of a later day is short enough for a chat, and
// nobody reads a word that means the bonnet to some and the roof to others, or
// that judges their car.
func TestCareIsShort(t *testing.T) {
	s := setting(t)
	all := reminders.Job{At: at(t, "2027-06-01 15:00")}
	for _, c := range s.Rules.Aftercare() {
		all.Tasks = append(all.Tasks, c.After...)
	}
	for _, p := range s.Rules.Protections() {
		all.Protections = append(all.Protections, p.ID)
	}
	never := regexp.MustCompile(`(?i)\b(hood|severe|poor|filthy|like new)\b`)
	for _, m := range s.Care(all) {
		n := 0
		for _, tip := range m.Tips {
			n += len([]rune(tip.About)) + len([]rune(tip.Words)) + 3
			if bad := never.FindString(tip.Words); bad != "" {
				t.Errorf("%q says %q", tip.Words, bad)
			}
		}
		// Everything at once is more than any job; the platform's limit is 4096.
		limit := 900
		if m.At.Equal(all.At) {
			limit = 3000
		}
		if n > limit {
			t.Errorf("%s: %d characters, want at most %d", show(m.At), n, limit)
		}
	}
}

// Missed days are caught up with in one message, of what still makes sense.
func TestCareIsCaughtUpWithSense(t *testing.T) {
	s := setting(t)
	job := reminders.Job{At: at(t, "2027-06-01 15:00"), Tasks: []string{"fabric-extract"}, Protections: []string{"soft-top-proof", "ceramic-coating"}}
	for _, tt := range []struct{ name, last, now, want string }{
		{"in time", "2027-06-01 15:00", "2027-06-02 10:00", "wet-seats soft-top coating thanks"},
		// Day 1's damp seats and dry coating were for days 1 and 2.
		{"three days late", "2027-06-01 15:00", "2027-06-05 08:00", "soft-top thanks"},
		// Day 7 comes at ten; who is written to at eight that day hears all of it.
		{"caught up on a day with its own", "2027-06-01 15:00", "2027-06-08 08:00", "wet-seats soft-top coating"},
		{"told already today", "2027-06-02 10:00", "2027-06-02 18:00", ""},
		{"nothing new", "2027-06-02 10:00", "2027-06-04 10:00", ""},
		{"weeks late", "2027-06-01 15:00", "2027-07-15 10:00", ""},
	} {
		var ids []string
		for _, tip := range s.CareNow(job, at(t, tt.last), at(t, tt.now)) {
			ids = append(ids, tip.ID)
		}
		if got := strings.Join(ids, " "); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	next, ok := s.NextCare(job, at(t, "2027-06-02 10:00"))
	if got := show(next); !ok || got != "Tue 2027-06-08 10:00 BST" {
		t.Errorf("next: %s, %v", got, ok)
	}
	if next, ok := s.NextCare(job, at(t, "2027-09-30 10:00")); ok {
		t.Errorf("after everything: %s", show(next))
	}
}

// For any job and any outages: at most one message a day, every tip at most once,
// and none on a day it is not for.
func TestAnyCare(t *testing.T) {
	s := setting(t)
	var possible []string
	until := map[string]int{}
	for _, c := range s.Rules.Aftercare() {
		possible = append(possible, c.After...)
		for _, l := range c.Say {
			until[l.Words] = l.Day + l.GoodFor
		}
	}
	slices.Sort(possible)
	possible = slices.Compact(possible)
	rapid.Check(t, func(rt *rapid.T) {
		now := time.Date(2027, 1, 1, 7, 0, 0, 0, s.Zone).Add(time.Duration(rapid.IntRange(0, 365*24*60).Draw(rt, "minute")) * time.Minute)
		did := rapid.SliceOfNDistinct(rapid.SampledFrom(possible), 0, 8, rapid.ID).Draw(rt, "did")
		job := reminders.Job{At: now, Tasks: did}
		for _, id := range did {
			if _, ok := s.Rules.Protection(id); ok {
				job.Protections = append(job.Protections, id)
			}
		}
		said, last := map[string]bool{}, time.Time{}
		for {
			next, ok := s.NextCare(job, last)
			if !ok {
				break
			}
			late := time.Duration(rapid.SampledFrom([]int{0, 0, 3, 20, 100, 700}).Draw(rt, "late")) * time.Hour
			now := s.Serviceable(later(next, now).Add(late))
			for _, tip := range s.CareNow(job, last, now) {
				id := tip.ID + tip.Words
				if said[id] {
					rt.Fatalf("%s twice", id)
				}
				said[id] = true
				gone := int(now.Sub(job.At).Hours() / 24)
				if gone > until[tip.Words] {
					rt.Fatalf("%q %d days after the job", tip.Words, gone)
				}
			}
			if !last.IsZero() && sameDay(s, last, now) {
				rt.Fatalf("twice on %s", show(now))
			}
			last = now
		}
	})
}

// A table without an entry for a job says nothing, and does not fall over.
func TestCareOfAnotherTable(t *testing.T) {
	src := string(pricing.DefaultYAML())
	from, to := strings.Index(src, "\naftercare:\n"), strings.Index(src, "# Said on the job sheet")
	if from < 0 || to < from {
		t.Fatal("the shipped rules have no aftercare")
	}
	rules, err := pricing.ParseRules("rules.yaml", []byte(src[:from]+"\naftercare: {}\n"+src[to:]))
	if err != nil {
		t.Fatal(err)
	}
	s := setting(t)
	s.Rules = rules
	if got := s.Care(reminders.Job{At: at(t, "2027-06-01 15:00"), Tasks: []string{"wash"}}); len(got) != 0 {
		t.Errorf("got %s", fmt.Sprint(days(got)))
	}
}
