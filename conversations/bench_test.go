package conversations_test

import (
	"testing"
	"time"

	"example.org/dryhand/bot"
	"example.org/dryhand/conversations"
)

// BenchmarkStep decides an ordinary message and one that goes a step back, on the
// documents as they are stored.
func BenchmarkStep(b *testing.B) {
	for _, text := range []string{"outside", "back"} {
		b.Run(text, func(b *testing.B) {
			o := newOffice(b, talk(b))
			before := []string{"Ford Fiesta"}
			if text == "back" {
				before = append(before, "outside")
			}
			o.say(mia, before...)
			o.now = o.now.Add(time.Minute)
			e := bot.Event{Op: "u1", Chat: mia, At: o.now, From: bot.Person{ID: mia, Name: "Mia", Language: "en"}, What: bot.Text{Message: 7, Body: text}}
			docs := o.load(conversations.Touches(e))
			b.ReportAllocs()
			for b.Loop() {
				d, err := conversations.Step(o.talk, docs, e, o.now)
				if err != nil || len(d.Need) > 0 || len(d.Put) == 0 {
					b.Fatal(d.Need, err)
				}
			}
		})
	}
}
