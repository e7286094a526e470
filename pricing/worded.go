package pricing

import (
	"maps"
	"slices"
)

// Worded are the rules with what customers read of them in another language: each
// text is looked up as it stands in the file. Numbers, ids and what only the
// owner reads stay, and so does the version, since nothing costs otherwise. missing
// are the texts that have no other words and stay too, in the order of the file.
func (r *Rules) Worded(words map[string]string) (other *Rules, missing []string) {
	over := *r
	over.book = r.book.copied()
	seen := map[string]bool{}
	over.book.read(func(text *string) {
		switch to, ok := words[*text]; {
		case ok:
			*text = to
		case *text != "" && !seen[*text]:
			seen[*text] = true
			missing = append(missing, *text)
		}
	})
	b := over.book
	over.Quotes, over.Place, over.Terms = b.Quotes, b.Place, b.Terms
	over.tasks = slices.Clone(r.tasks)
	said := map[string]Task{}
	for _, t := range b.Tasks {
		said[t.ID] = t
	}
	for i := range over.tasks {
		t := said[over.tasks[i].ID]
		over.tasks[i].Words, over.tasks[i].Dries, over.tasks[i].Wont = t.Words, t.Dries, t.Wont
	}
	return &over, missing
}

// Read are the texts customers read, in the order of the file, each once.
func (r *Rules) Read() []string {
	_, all := r.Worded(nil)
	return all
}

// copied is the book with all of its own that read may change.
func (b book) copied() book {
	b.Wants = maps.Clone(b.Wants)
	b.Areas, b.Flags, b.Tasks = slices.Clone(b.Areas), slices.Clone(b.Flags), slices.Clone(b.Tasks)
	b.Protections, b.Wear.When, b.Aftercare = slices.Clone(b.Protections), slices.Clone(b.Wear.When), slices.Clone(b.Aftercare)
	for i := range b.Protections {
		b.Protections[i].Care = slices.Clone(b.Protections[i].Care)
	}
	for i := range b.Aftercare {
		b.Aftercare[i].Say = slices.Clone(b.Aftercare[i].Say)
	}
	return b
}

// read goes over every text of the book that a customer may read.
func (b *book) read(f func(*string)) {
	q, p, t := &b.Quotes, &b.Place, &b.Terms
	for _, s := range []*string{&q.NotSeen, &q.Size, &q.Place, &q.LeftDeeper, &q.LeftOther, &q.LeftUntold, &q.LeftPlace, &q.LeftBudget, &q.SeeFirst, &q.Nothing,
		&t.Price, &t.Notice, &t.Cancel, &t.Start, &t.Law,
		&p.SetUp, &p.NoStreet, &p.NoDrain, &p.NoWater, &p.NoPower, &p.LowWater, &p.NoCover, &p.AskDrain, &p.AskPermission, &p.Travel, &p.TooFar} {
		f(s)
	}
	for _, id := range slices.Sorted(maps.Keys(b.Wants)) {
		words := b.Wants[id]
		f(&words)
		b.Wants[id] = words
	}
	for i := range b.Areas {
		a := &b.Areas[i]
		f(&a.Name)
		f(&a.Ask)
		if a.AskTold != "" {
			f(&a.AskTold)
		}
		for g := range a.Grades {
			f(&a.Grades[g])
		}
	}
	for i := range b.Flags {
		f(&b.Flags[i].Words)
		f(&b.Flags[i].Plain)
	}
	for i := range b.Protections {
		f(&b.Protections[i].Words)
		for k := range b.Protections[i].Care {
			f(&b.Protections[i].Care[k])
		}
	}
	for i := range b.Wear.When {
		f(&b.Wear.When[i].Words)
	}
	for i := range b.Aftercare {
		c := &b.Aftercare[i]
		f(&c.About)
		for k := range c.Say {
			f(&c.Say[k].Words)
		}
	}
	for i := range b.Tasks {
		x := &b.Tasks[i]
		f(&x.Words)
		f(&x.Dries)
		f(&x.Wont)
	}
}

// ReadAtWork are the texts that stand on a job sheet and that customers never read, in
// the order of the file, each once: what tasks are done with, in what order and why,
// and the cautions.
func (r *Rules) ReadAtWork() []string {
	var all []string
	add := func(texts ...string) { all = append(all, texts...) }
	b := &r.book
	for _, id := range slices.Sorted(maps.Keys(b.Cautions)) {
		add(b.Cautions[id])
	}
	for _, t := range b.Tasks {
		for _, m := range t.Mixes {
			add(m.What, m.Note)
		}
	}
	add(b.Sheet.Bring...)
	add(b.Sheet.Stop...)
	for _, c := range b.Sheet.Containers {
		add(c.Words)
	}
	for _, p := range b.Sheet.Pieces {
		add(p.Words)
		add(p.Names...)
	}
	for _, s := range b.Sheet.Steps {
		add(s.Why)
		add(s.Bring...)
		add(s.Gentlest...)
	}
	seen := map[string]bool{"": true}
	return slices.DeleteFunc(all, func(s string) bool {
		was := seen[s]
		seen[s] = true
		return was
	})
}
