package reading_test

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/conversations/reading"
	"example.org/dryhand/pricing"
)

// An owner's file adds what his own customers say.
func TestOwnersPhrases(t *testing.T) {
	const own = `
words:
  claggy: muddy
  pongs a bit: smell
  the tunnel: hand wash
hints:
  glitter:
    area: interior
    says: [glitter]
wants:
  wheels:
    parts: [hoops]
spots:
  interior: [the dickie seat]
`
	base := reader(t)
	r, err := base.With("own.yaml", []byte(own))
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct {
		text, slot string
		want       []string
	}{
		{"its claggy", "hints", []string{"paintwork mud"}},
		{"pongs a bit", "hints", []string{"interior smell"}},
		{"give it the tunnel", "wants", []string{"exterior"}},
		{"glitter in every gap", "hints", []string{"interior glitter"}},
		{"hoops please", "wants", []string{"wheels"}},
		{"mud on the dickie seat", "hints", []string{"interior mud"}},
		{"alloys please", "wants", []string{"wheels"}},
	}
	for _, tt := range tests {
		if d := cmp.Diff(tt.want, factsOf(tt.text, r.Read(tt.text))[tt.slot]); d != "" {
			t.Errorf("%q: -want +got:\n%s", tt.text, d)
		}
	}
	if got := base.Read("glitter in every gap").Hints; got != nil {
		t.Errorf("the reader that was added to has changed: %v", got)
	}
}

func TestPhraseMistakes(t *testing.T) {
	tests := []struct{ name, src, want string }{
		{"unknown group", "hint: {}\n", `own.yaml:1:1: hint: unknown; did you mean "hints"?`},
		{"unknown area", "hints:\n  glitter:\n    area: insides\n    says: [glitter]\n", `own.yaml:3:5: hints.glitter.area: "insides" is unknown; possible: `},
		{"area missing", "hints:\n  glitter:\n    says: [glitter]\n", `own.yaml:2:3: hints.glitter.area: "" is unknown`},
		{"also unknown", "hints:\n  mud: {says: [], also: [wheel]}\n", `own.yaml:2:26: hints.mud.also.0: "wheel" is unknown; did you mean "wheels"?`},
		{"no such grade", "hints:\n  sand:\n    says: []\n    answers: {interior: 5}\n", `own.yaml:4:15: hints.sand.answers.interior: must be the number of one of the four descriptions, 1 to 4, not 5`},
		{"no such flag", "hints:\n  sand: {says: [], flag: ghosts}\n", `own.yaml:2:20: hints.sand.flag: the rules file has no flag "ghosts"`},
		{"no such body", "bodies:\n  hearse: {as: long, says: [hearse]}\n", `own.yaml:2:12: bodies.hearse.as: "long" is no body style; possible: `},
		{"no such surface", "surfaces:\n  moon: [on the moon]\n", `own.yaml:2:3: surfaces.moon: "moon" is unknown; possible: driveway, garage, shared, street`},
		{"no such small words", "small:\n  nott: [nay]\n", `own.yaml:2:3: small.nott: "nott" is unknown; did you mean "not"?`},
		{"how many", "cars:\n  \"1\": [one car]\n", `own.yaml:2:3: cars.1: must be how many cars, 2 to 9`},
		{"no meaning", "words:\n  mucky: quagmire\n", `own.yaml:2:3: words.mucky: "quagmire" is no phrase of the file, nor the name of a hint, a want or a question`},
		{"endless", "ignore: [one two three four five six seven eight nine ten eleven twelve thirteen]\n", `own.yaml:1:10: ignore.0: a phrase may have at most 12 words: "one two`},
		{"no word", "hints:\n  sand:\n    says:\n      - beach\n      - \"?!\"\n", `own.yaml:5:9: hints.sand.says.1: "?!" has no word in it that could be found`},
		{"no word that means", "words:\n  \"🐕\": dog hair\n", `own.yaml:2:3: words.🐕: "🐕" has no word in it`},
		{"spelled, two words", "spelled:\n  ta very: thanks\n", `own.yaml:2:3: spelled.ta very: must be one word, not "ta very"`},
		{"spelled with capitals", "spelled:\n  Wen: when\n", `own.yaml:2:3: spelled.Wen: "Wen" is never met; words are compared as "wen"`},
		{"spelled with an apostrophe", "spelled:\n  cleanin': cleaning\n", `own.yaml:2:3: spelled.cleanin': "cleanin'" is never met; words are compared as "cleanin"`},
		{"spelled as two words", "spelled:\n  gunna: going to\n", `own.yaml:2:3: spelled.gunna: "going to" is more than one word`},
		{"spelled as a capital", "spelled:\n  brum: Birmingham\n", `own.yaml:2:3: spelled.brum: "Birmingham" is never met; words are compared as "birmingham"`},
		{"spelled as what is spelled", "spelled:\n  yuh: yh\n", `own.yaml:2:3: spelled.yuh: "yh" is itself put down as "yes"; write that`},
		{"short for one word", "short:\n  gonna: going\n", `own.yaml:2:3: short.gonna: must be two words in small letters with one space between them, not "going"`},
		{"short with a capital", "short:\n  ill: I will\n", `own.yaml:2:3: short.ill: must be two words in small letters with one space between them, not "I will"`},
		{"short, but spelled", "short:\n  tho: even though\n", `own.yaml:2:3: short.tho: "tho" never comes so far: under "spelled" it is put down as "though"`},
		{"number of two words", "numbers:\n  half dozen: 6\n", `own.yaml:2:3: numbers.half dozen: must be one word`},
		{"everyday words", "everyday: [hello, hello there]\n", `own.yaml:1:19: everyday.1: must be one word, not "hello there"`},
		{"want", "hints:\n  sand: {says: [], want: hoovering}\n", `own.yaml:2:20: hints.sand.want: "hoovering" is unknown; possible: `},
	}
	r := reader(t)
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := r.With("own.yaml", []byte(tt.src))
			if err == nil || !strings.HasPrefix(err.Error(), tt.want) {
				t.Errorf("got %v\nwant %s", err, tt.want)
			}
		})
	}
}

// All mistakes come at once.
func TestAllPhraseMistakes(t *testing.T) {
	_, err := reader(t).With("own.yaml", []byte("surfaces: {moon: [moon]}\nsmall: {nott: [nay]}\n"))
	if err == nil || strings.Count(err.Error(), "own.yaml:") != 2 {
		t.Errorf("got %v, want two mistakes", err)
	}
}

// The shipped phrases and the shipped rules belong together: each answer and flag
// the phrases give is one the rules know.
func TestPhrasesFitTheRules(t *testing.T) {
	rules := pricing.DefaultRules()
	areas := map[pricing.Area]bool{}
	for _, a := range rules.Areas() {
		areas[a.ID] = true
	}
	r := reader(t)
	seen := 0
	for _, text := range []string{"dog hair", "sand", "milk", "mould", "smoke", "stains", "tar", "brake dust", "swirls", "yellowed headlights", "vomit", "blood", "needles", "fleas", "flooded", "leak", "stinks", "crumbs"} {
		got := r.Read(text)
		if len(got.Hints) == 0 {
			t.Errorf("%q: nothing seen", text)
		}
		for a := range got.Grades {
			seen++
			if !areas[a] {
				t.Errorf("%q answers for %q, which the rules do not ask about", text, a)
			}
		}
		for _, f := range got.Flags {
			seen++
			if _, ok := rules.Flag(f); !ok {
				t.Errorf("%q raises %q, which the rules do not know", text, f)
			}
		}
	}
	if seen < 15 {
		t.Errorf("only %d answers and flags; the shipped phrases give more", seen)
	}
	if _, err := reading.New(rules, "en-GB.yaml", reading.DefaultYAML()); err != nil {
		t.Error(err)
	}
}
