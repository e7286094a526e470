package conversations_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
	"example.org/dryhand/conversations/photos"
)

// atPhotos brings somebody to the question about photos, by what they say first.
func (o *office) atPhotos(who bot.ChatID, first string) {
	o.t.Helper()
	o.say(who, first)
	o.tap(who, "At the workshop")
	o.say(who, "just the price")
	o.tap(who, "Find a day", "Nothing like that")
}

// looked sends pictures and lets them be looked at.
func (o *office) looked(who bot.ChatID, all ...bot.Photo) {
	o.t.Helper()
	for _, p := range all {
		o.event(who, p)
	}
	o.until(o.now.Add(time.Minute))
}

// What is asked for fits this car, these wishes and these doubts.
func TestPhotosFitTheCarAndTheDoubts(t *testing.T) {
	for _, c := range []struct {
		first    string
		has, not []string
	}{
		{"mazda mx5, soft top clean please", []string{"the soft top from above", "the whole car"}, []string{"footwell", "headlight"}},
		{"Ford Fiesta, inside only", []string{"footwell", "the whole car"}, []string{"soft top", "one wheel"}},
		{"Ford Fiesta, inside and out, dog hair everywhere", []string{"what you'd like gone", "the whole car"}, []string{"soft top", "one wheel"}},
		{"Ford Fiesta, clean the inside please, it smells of smoke", []string{"footwell"}, []string{"what you'd like gone"}},
	} {
		o := newOffice(t, talk(t))
		o.atPhotos(mia, c.first)
		asked := o.lastTo(mia).Text
		for _, w := range c.has {
			if !strings.Contains(asked, w) {
				t.Errorf("%q is not asked for %q:\n%s", c.first, w, asked)
			}
		}
		for _, w := range c.not {
			if strings.Contains(asked, w) {
				t.Errorf("%q is asked for %q:\n%s", c.first, w, asked)
			}
		}
	}
}

// What has been sent changes what is asked for: by its caption, and by how much
// it is; who has sent as many as would be asked for is not asked.
func TestPhotosSentAreNotAskedForAgain(t *testing.T) {
	o := newOffice(t, talk(t))
	one := o.picture("")
	one.Caption = "the wheels"
	o.looked(mia, one) // before anything else
	if said := o.chat[mia][0].Text; !strings.Contains(said, "What car is it?") {
		t.Errorf("a photo first is answered %q", said)
	}
	o.atPhotos(mia, "Ford Fiesta, outside")
	asked := o.lastTo(mia).Text
	if !strings.Contains(asked, "among your photos yet") || strings.Contains(asked, "one wheel") || !strings.Contains(asked, "a door from its lower edge") {
		t.Errorf("after a photo of the wheels we ask\n%s", asked)
	}
	o.looked(mia, o.picture(""))
	if e := o.enquiry(mia); e.At == "photo" {
		t.Errorf("two wanted, two sent, and still asked:\n%s", o.lastTo(mia).Text)
	}

	o = newOffice(t, talk(t))
	o.looked(mia, o.picture("a"), o.picture("a"), o.picture("a"))
	o.say(mia, "Ford Fiesta, outside")
	o.tap(mia, "At the workshop")
	o.say(mia, "just the price")
	o.tap(mia, "Find a day", "Nothing like that")
	if e := o.enquiry(mia); e.At != "slot" {
		t.Errorf("three photos sent first, and asked for %q:\n%s", e.At, o.lastTo(mia).Text)
	}
}

// The owner sees every picture that can be looked at, also those we find fault
// with and those sent as a file, and also what comes after he was asked.
func TestTheOwnerSeesThePhotos(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "/start")
	o.look = func(f bot.FileID) conversations.Measured {
		m := sharp(f)
		switch f {
		case "file-1":
			m.Report.Faults = []photos.Fault{photos.TooDark}
		case "file-2":
			m.Report, m.Failed = photos.Report{}, conversations.FailedHEIC
		}
		return m
	}
	o.atPhotos(mia, "Ford Fiesta, outside")
	file := o.picture("")
	file.AsFile = true
	dark, heic := file, o.picture("")
	o.looked(mia, dark)
	if said := o.lastTo(mia).Text; !strings.Contains(said, "rather dark") {
		t.Errorf("a dark photo is answered %q", said)
	}
	o.looked(mia, heic)
	o.looked(mia, o.picture("b"), o.picture("b"))
	if e := o.enquiry(mia); e.At == "photo" {
		o.tap(mia, "No more photos")
	}
	o.event(mia, bot.Tap{ID: "t", Data: o.lastTo(mia).Choices[0][0].Data})
	o.tap(mia, "No, thank you", "Yes, ask for it")
	seen := func() (all []string) {
		for _, m := range o.chat[boss] {
			if m.Photo != "" {
				all = append(all, fmt.Sprint(m.Photo, " ", m.AsFile))
			}
			for _, f := range m.Album {
				all = append(all, fmt.Sprint(f, " false"))
			}
		}
		return all
	}
	want := []string{"file-1 true", "file-3 false", "file-4 false"}
	if got := seen(); !slices.Equal(got, want) {
		t.Errorf("the owner sees %q, want %q", got, want)
	}
	o.looked(mia, o.picture("c"), o.picture("c"))
	if got := seen(); !slices.Equal(got, append(want, "file-5 false", "file-6 false")) {
		t.Errorf("of what came later the owner sees %q", got)
	}
}

// While a person has the chat, pictures go to him and the desk says nothing.
func TestPhotosForAPerson(t *testing.T) {
	o := newOffice(t, talk(t))
	o.say(boss, "/start")
	o.say(mia, "Ford Fiesta", "person")
	n := len(o.chat[mia])
	p := o.picture("")
	p.Caption = "this is the spot"
	o.looked(mia, p)
	if more := o.chat[mia][n:]; len(more) > 0 {
		t.Errorf("the desk talks: %q", more[0].Text)
	}
	var got []string
	for _, m := range o.chat[boss] {
		if m.Photo != "" || strings.Contains(m.Text, "this is the spot") {
			got = append(got, string(m.Photo))
		}
	}
	if !slices.Equal(got, []string{"", "file-1"}) {
		t.Errorf("the owner gets %q, want the words and the picture", got)
	}
}

// Pictures sent one by one are waited for: until as many are here as were asked for,
// until "no more photos", or until nothing has come for a while.
func TestPhotosOneByOneAreWaitedFor(t *testing.T) {
	send := func(o *office, after time.Duration) {
		o.event(mia, o.picture(""))
		o.until(o.now.Add(after))
	}
	begun := func() *office {
		o := newOffice(t, talk(t))
		o.atPhotos(mia, "Ford Fiesta, inside and outside")
		if n := strings.Count(o.lastTo(mia).Text, "\n–"); n != 3 {
			t.Fatalf("%d views are asked for, the test wants 3:\n%s", n, o.lastTo(mia).Text)
		}
		return o
	}

	o := begun()
	for i := range 2 {
		send(o, 20*time.Second)
		if e := o.enquiry(mia); e.At != "photo" || !strings.Contains(o.lastTo(mia).Text, "Send the next") {
			t.Fatalf("after %d of 3 we are at %s:\n%s", i+1, e.At, o.lastTo(mia).Text)
		}
	}
	send(o, 20*time.Second)
	if e := o.enquiry(mia); e.At != "slot" {
		t.Errorf("three asked for, three sent, and still at %s:\n%s", e.At, o.lastTo(mia).Text)
	}

	o = begun()
	send(o, 20*time.Second)
	o.say(mia, "that's all")
	if e := o.enquiry(mia); e.At != "slot" {
		t.Errorf("after \"that's all\" we are at %s", e.At)
	}
	n := len(o.chat[mia])
	o.until(o.now.Add(10 * time.Minute))
	if more := o.chat[mia][n:]; len(more) != 0 {
		t.Errorf("and then the desk says %q", more[0].Text)
	}

	o = begun()
	send(o, 5*time.Minute)
	if e := o.enquiry(mia); e.At != "slot" || !strings.Contains(o.lastTo(mia).Text, "go on with that photo") {
		t.Errorf("five minutes after the only one we are at %s:\n%s", e.At, o.lastTo(mia).Text)
	}

	o = begun()
	o.event(mia, o.picture("a"))
	o.event(mia, o.picture("a"))
	o.until(o.now.Add(20 * time.Second))
	if e := o.enquiry(mia); e.At != "slot" {
		t.Errorf("an album of two is all there is, and we are at %s", e.At)
	}
}

// A picture sent by mistake is taken out again, and the right one asked for.
func TestThePhotoThatWasTheWrongOneIsTakenOut(t *testing.T) {
	o := newOffice(t, talk(t))
	o.atPhotos(mia, "Ford Fiesta, inside only")
	o.looked(mia, o.picture("a"))
	o.say(mia, "thats the wrong one sorry")
	if e, said := o.enquiry(mia), o.lastTo(mia).Text; len(e.Photos) != 0 || e.At != "photo" || len(e.Noted) > 0 || !strings.Contains(said, "taken out the last one you sent") {
		t.Errorf("%d photos, asked %q, noted %q: %q", len(e.Photos), e.At, e.Noted, said)
	}
	o.say(mia, "sorry wrong one again") // none is left to be taken out
	if e := o.enquiry(mia); len(e.Noted) != 1 {
		t.Errorf("noted %q", e.Noted)
	}
}

// Who has sent what there is, or thinks so, is not asked again.
func TestPhotosSentAlready(t *testing.T) {
	for _, says := range []string{"sent one already", "ive sent it", "thats all i have", "already sent you some"} {
		o := newOffice(t, talk(t))
		o.atPhotos(mia, "golf hatchback outside")
		o.say(mia, says)
		if e, got := o.enquiry(mia), o.lastTo(mia).Text; e.At == "photo" || !strings.Contains(got, "No photo has come through here") {
			t.Errorf("%q: at %s: %q", says, e.At, got)
		}
	}
}

// A wrong photo is taken out after the request has gone, too: the owner is told and has the
// card as it is now.
func TestWrongPhotoAfterTheRequest(t *testing.T) {
	o := newOffice(t, talk(t))
	o.atPhotos(mia, "golf hatchback outside")
	o.looked(mia, o.picture(""), o.picture(""))
	o.say(mia, "no more photos", "first", "yes remind me", "yes")
	e := o.enquiry(mia)
	if e.Stage != conversations.Waits || len(e.Photos) != 2 {
		t.Fatalf("%s with %d photos", e.Stage, len(e.Photos))
	}
	o.say(mia, "oh wrong photo sorry")
	if e := o.enquiry(mia); len(e.Photos) != 1 || !strings.Contains(o.lastTo(mia).Text, "is out, and the boss knows") || !strings.Contains(o.lastTo(boss).Text, "Photos: 1, above.") {
		t.Errorf("%d photos: %q, %q", len(e.Photos), o.lastTo(mia).Text, o.lastTo(boss).Text)
	}
}
