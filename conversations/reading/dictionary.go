package reading

import (
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
	"github.com/agnivade/levenshtein"
)

// kind says what a phrase is good for.
type kind string

// The kinds that stand in groups of their own in the file.
const (
	ignored kind = "ignore"
	aBody   kind = "body"
	aWork   kind = "work"
	aPart   kind = "part"
	aBit    kind = "bit"
	aSpot   kind = "spot"
	aHint   kind = "hint"
	aHintAt kind = "hint-at" // counts only beside a place
	anAsk   kind = "ask"
	surface kind = "surface"
	howMany kind = "cars"
)

// The kinds under "small" in the file; the names are those of the file.
const (
	request   kind = "request"
	fix       kind = "fix"
	not       kind = "not"
	unneeded  kind = "unneeded"
	only      kind = "only"
	filler    kind = "filler"
	link      kind = "link"
	little    kind = "little"
	currency  kind = "currency"
	budgetCue kind = "budget"
	about     kind = "about"
	most      kind = "most"
	least     kind = "least"
	notMoney  kind = "not-money"
	notMine   kind = "not-mine"
	mine      kind = "mine"
	gone      kind = "gone"
	otherCar  kind = "other-cars"
	toUnit    kind = "unit"
	toThem    kind = "customer"
	tapYes    kind = "tap"
	tapNo     kind = "no-tap"
	socketYes kind = "socket"
	socketNo  kind = "no-socket"
	near      kind = "near"
	day       kind = "when"
	dayWith   kind = "when-with"
	dayLink   kind = "when-link"
	plate     kind = "plate"
	question  kind = "question"
	never     kind = "never"
	already   kind = "already"
	state     kind = "state"
	roof      kind = "roof"
	neverCar  kind = "never-car"
	past      kind = "past"
	asking    kind = "asking"
	usually   kind = "usually"
	describes kind = "describes"
	goesOn    kind = "goes-on"
)

func smallKinds() []kind {
	return []kind{request, fix, not, unneeded, only, filler, link, little, currency, budgetCue, about, most, least, notMoney, notMine, mine, gone,
		otherCar, toUnit, toThem, tapYes, tapNo, socketYes, socketNo, near, day, dayWith, dayLink, plate, question, never, already, state, roof, neverCar, past, asking, usually, describes, goesOn}
}

// entry is one phrase and what it means.
type entry struct {
	words []string
	kind  kind
	name  string
}

// dictionary is every phrase, prepared for finding.
type dictionary struct {
	// first are the entries by their first word, the longest first.
	first map[string][]entry
	// known are all words of all phrases, and the everyday ones.
	known map[string]bool
	// long are the known words of five letters and more, by first letter, in
	// the order of the alphabet.
	long map[byte][]string
	// endless are phrases of more words than one may have.
	endless []string
}

// gather prepares the phrases of a book.
func gather(f *plainyaml.File, b *book) dictionary {
	d := dictionary{first: map[string][]entry{}, known: map[string]bool{}, long: map[byte][]string{}}
	d.addAll(b)
	for _, said := range slices.Sorted(maps.Keys(b.Mean)) {
		d.mean(f, said, b.Mean[said])
	}
	for _, p := range d.endless {
		f.Wrong("", "a phrase may have at most %d words: %q", longestPhrase, p)
	}
	for _, all := range d.first {
		slices.SortStableFunc(all, func(a, b entry) int { return len(b.words) - len(a.words) })
		for _, e := range all {
			for _, w := range e.words {
				d.known[w] = true
			}
		}
	}
	for _, w := range slices.Sorted(maps.Keys(d.known)) {
		if len(w) >= shortest {
			d.long[w[0]] = append(d.long[w[0]], w)
		}
	}
	for _, w := range b.Everyday {
		d.known[plain(w)] = true
	}
	return d
}

func (d *dictionary) addAll(b *book) {
	d.add(ignored, "", b.Ignore)
	for _, x := range b.Bodies {
		d.add(aBody, x.ID, x.Says)
	}
	for _, x := range b.Wants {
		d.add(aWork, x.ID, x.Work)
		d.add(aPart, x.ID, x.Parts)
		d.add(aBit, x.ID, x.Bits)
	}
	for _, x := range b.Hints {
		d.add(aHint, x.ID, x.Says)
		d.add(aHintAt, x.ID, x.Beside)
	}
	d.addLists(aSpot, b.Spots)
	d.addLists(anAsk, b.Asks)
	d.addLists(surface, b.Surfaces)
	d.addLists(howMany, b.Cars)
	for _, k := range smallKinds() {
		d.add(k, "", b.Small[string(k)])
	}
}

func (d *dictionary) addLists(k kind, lists map[string][]string) {
	for _, name := range slices.Sorted(maps.Keys(lists)) {
		d.add(k, name, lists[name])
	}
}

func (d *dictionary) add(k kind, name string, phrases []string) {
	for _, p := range phrases {
		w := words(p)
		if len(w) > longestPhrase {
			d.endless = append(d.endless, p)
		} else if len(w) > 0 {
			d.first[w[0]] = append(d.first[w[0]], entry{w, k, name})
		}
	}
}

// mean lets one phrase mean what another does, wherever that stands. A meaning
// may also be the name of a hint, a want or a question.
func (d *dictionary) mean(f *plainyaml.File, said, meaning string) {
	as := words(meaning)
	var same []entry
	for _, first := range slices.Sorted(maps.Keys(d.first)) {
		for _, e := range d.first[first] {
			if slices.Equal(e.words, as) || e.name == meaning {
				same = append(same, e)
			}
		}
	}
	if len(same) == 0 {
		f.Wrong("words."+said, "%q is no phrase of the file, nor the name of a hint, a want or a question", meaning)
	}
	done := map[sense]bool{}
	for _, e := range same {
		if id := (sense{e.kind, e.name}); !done[id] {
			done[id] = true
			d.add(e.kind, e.name, []string{said})
		}
	}
}

// sense is what a phrase means, whatever its words are.
type sense struct {
	kind kind
	name string
}

// shortest is how many letters a word needs for a typing error to be forgiven.
const shortest = 5

// alike are the known words that a word may be meant to be, one typing error
// away and with the same first letter. A known word means itself.
func (d *dictionary) alike(w string) []string {
	if d.known[w] || len(w) < shortest || strings.ContainsAny(w, "0123456789") {
		return []string{w}
	}
	out := []string{w}
	for _, k := range d.long[w[0]] {
		if len(k)-len(w) <= 1 && len(w)-len(k) <= 1 && (levenshtein.ComputeDistance(w, k) == 1 || swapped(w, k)) {
			out = append(out, k)
		}
	}
	return out
}

// swapped tells whether two words differ by two neighbouring letters changed
// over, the commonest error on a phone after a wrong or missing letter.
func swapped(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}
