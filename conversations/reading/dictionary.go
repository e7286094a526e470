package reading

import (
	"maps"
	"slices"
	"strings"

	"example.org/dryhand/pricing/plainyaml"
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
	aTask   kind = "task"
	aPiece  kind = "piece"
	aSpot   kind = "spot"
	aTell   kind = "tell"
	aNone   kind = "none"
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
	fairBit   kind = "fair-bit"
	downed    kind = "played-down"
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
	notThere  kind = "not-there"
	already   kind = "already"
	state     kind = "state"
	roof      kind = "roof"
	neverCar  kind = "never-car"
	past      kind = "past"
	asking    kind = "asking"
	usually   kind = "usually"
	describes kind = "describes"
	goesOn    kind = "goes-on"
	noMore    kind = "no-more"
	offer     kind = "offer"
	carry     kind = "carry"
	thing     kind = "thing"
	yours     kind = "yours"
	doingIt   kind = "doing-it"
	where     kind = "where"
	reaches   kind = "reaches"
	water     kind = "water"
	power     kind = "power"
	have      kind = "have"
	noSupply  kind = "no-supply"
	who       kind = "who"
	ring      kind = "ring"
	halfCar   kind = "half-car"
	carGoesOn kind = "car-goes-on"
	carsNoun  kind = "vehicles"
	cab       kind = "cab"
	booking   kind = "booking"
	general   kind = "general"
	takeOut   kind = "take-out"
	cantDo    kind = "cant-do"
	anyMore   kind = "any-more"
	out       kind = "out"
	happened  kind = "happened"
	theirs    kind = "own-time"
	hoped     kind = "hoped"
	noUse     kind = "no-use"
	forIt     kind = "for-it"
	notThese  kind = "not-these"
	oneOnly   kind = "one-only"
	notABody  kind = "not-a-body"
	onEstate  kind = "on-estate"
	others    kind = "others"
	together  kind = "together"
	amends    kind = "amends"
	corrects  kind = "corrects"
	instead   kind = "instead"
)

func smallKinds() []kind {
	return []kind{request, fix, not, unneeded, only, filler, link, little, fairBit, downed, currency, budgetCue, about, most, least, notMoney, notMine, mine, gone,
		otherCar, toUnit, toThem, tapYes, tapNo, socketYes, socketNo, near, day, dayWith, dayLink, plate, question, never, notThere, already, state, roof, neverCar, past, asking, usually, describes, goesOn,
		noMore, offer, carry, thing, yours, doingIt, where, reaches, water, power, have, noSupply, who, ring, halfCar, carGoesOn, carsNoun, cab, booking, general, takeOut, out, cantDo, anyMore,
		happened, theirs, hoped, noUse, forIt, notThese, oneOnly, notABody, onEstate, others, together, amends, corrects, instead}
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
	// ours are the known words but for those that are only in names of cars.
	ours map[string]bool
	// long are the known words of five letters and more, by first letter, in
	// the order of the alphabet.
	long map[byte][]string
	// spelled are words as they are thumbed in a hurry, and as they are spelled;
	// short and whole are two words as one and the other way round.
	spelled, short, whole map[string]string
}

// has tells whether some words are a phrase of a kind.
func (d dictionary) has(k kind, words []string) bool {
	return slices.ContainsFunc(d.first[words[0]], func(e entry) bool { return e.kind == k && slices.Equal(e.words, words) })
}

// gather prepares the phrases of a book.
func gather(f *plainyaml.File, b *book) dictionary {
	d := dictionary{first: map[string][]entry{}, known: map[string]bool{}, ours: map[string]bool{}, long: map[byte][]string{}, spelled: b.Spelled, short: map[string]string{}, whole: b.Short}
	for one, two := range b.Short {
		d.short[two] = one
	}
	d.addAll(b)
	for _, said := range slices.Sorted(maps.Keys(b.Mean)) {
		d.mean(f, said, b.Mean[said])
	}
	for _, all := range d.first {
		slices.SortStableFunc(all, func(a, b entry) int { return len(b.words) - len(a.words) })
		for _, e := range all {
			for _, w := range e.words {
				d.known[w] = true
				if e.kind != otherCar {
					d.ours[w] = true
				}
			}
		}
	}
	for w := range d.known {
		if len(w) >= shortest {
			d.long[w[0]] = append(d.long[w[0]], w)
		}
	}
	for _, all := range d.long {
		slices.Sort(all)
	}
	for _, w := range b.Everyday {
		d.known[plain(w)], d.ours[plain(w)] = true, true
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
	d.addLists(aTask, b.Tasks)
	d.addLists(aPiece, b.Pieces)
	d.addLists(aSpot, b.Spots)
	d.addLists(aTell, b.Tells)
	d.addLists(aNone, b.Nothing)
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
		for i := range w {
			if k != otherCar {
				w[i] = d.spell(w[i])
			}
		}
		if len(w) > longestPhrase {
			continue // a mistake, told of in check
		}
		d.enter(entry{w, k, name})
		for _, same := range [][]string{d.shortened(w), d.lengthened(w)} {
			if len(same) != len(w) && len(same) <= longestPhrase {
				d.enter(entry{same, k, name})
			}
		}
	}
}

func (d *dictionary) enter(e entry) {
	if len(e.words) > 0 {
		d.first[e.words[0]] = append(d.first[e.words[0]], e)
	}
}

// spell is a word as it is spelled when it is not thumbed in a hurry.
func (d *dictionary) spell(w string) string {
	if s, ok := d.spelled[w]; ok {
		return s
	}
	return w
}

// shortened is a phrase with "do not" and the like made one word: "dont".
func (d *dictionary) shortened(w []string) []string {
	out := make([]string, 0, len(w))
	for i := 0; i < len(w); i++ {
		if i+1 < len(w) && d.short[w[i]+" "+w[i+1]] != "" {
			out = append(out, d.short[w[i]+" "+w[i+1]])
			i++
			continue
		}
		out = append(out, w[i])
	}
	return out
}

// lengthened is a phrase with "dont" and the like made two words.
func (d *dictionary) lengthened(w []string) []string {
	out := make([]string, 0, len(w))
	for _, one := range w {
		if two, ok := d.whole[one]; ok {
			out = append(out, strings.Fields(two)...)
			continue
		}
		out = append(out, one)
	}
	return out
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
