package main

import (
	"regexp"
	"testing"
	"time"

	"example.org/dryhand/bot/standin"
)

// Every situation of the page can be played from any moment, also after the
// others, and leaves its customer where its first line says.
func TestSituations(t *testing.T) {
	ends := map[string]string{
		"1-hurry":  `Guide price for your Volkswagen Golf Estate: likely £\d+, no more than £\d+`,
		"2-figure": `For £120, .*: likely £\d+, no more than £120 without asking you first`,
		"3-sick":   `We'd rather see the Skoda Octavia Estate before naming a price`,
		"4-photos": `It's rather dark(.|\n)*Guide price for your Mazda MX-5`,
		"5-due":    `It's booked(.|\n)*All done(.|\n)*about due again: paint sealant`,
	}
	for _, start := range []time.Time{
		time.Date(2027, 4, 12, 17, 40, 0, 0, time.UTC),
		time.Date(2026, 12, 19, 3, 0, 0, 0, time.UTC), // holidays and short days ahead
		time.Date(2028, 2, 29, 12, 0, 0, 0, time.UTC),
	} {
		trial, _ := opened(t, standin.NewClock(start))
		for i, s := range trial.situations {
			who := trial.standin.Person(int64(playedOwner)+100+int64(i), s.Who)
			if err := trial.play(t.Context(), s.Name, who); err != nil {
				t.Errorf("%s, from %s: %v", s.Name, start, err)
			}
			said := ""
			for _, l := range who.Chat() {
				said += "\n" + l.From + ": " + l.Text
			}
			if want, ok := ends[s.Name]; !ok || !regexp.MustCompile(want).MatchString(said) {
				t.Errorf("%s, from %s: never says %q%s", s.Name, start, want, said)
			}
		}
	}
}
