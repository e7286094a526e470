package conversations

import (
	"slices"
	"strings"

	"example.org/dryhand/conversations/wording"
)

// pick finds the option that was typed: its label, its number in the list, or
// one of the ways people say it; not what stands behind one of the ways to say no.
func pick(p prompt, text string, no ...string) (option, bool) {
	if o, ok := bare(p, text); ok {
		return o, true
	}
	said := wording.Plain(text)
	const comma = " zz " // "no, the garage" is no denial
	clauses := " " + wording.Plain(strings.ReplaceAll(text, ",", comma)) + " "
	// Otherwise one option alone must be spoken of. "Not sure, an estate perhaps" is
	// an answer, "not sure if it's an estate or a hatchback" is none.
	var found, unsure option
	hits := 0
	for _, o := range p.options {
		for _, w := range o.typed {
			if w := wording.Plain(w); len(w) > 2 && strings.Contains(" "+said+" ", " "+w+" ") && !slices.ContainsFunc(no, func(n string) bool { return strings.Contains(clauses, " "+n+" "+w+" ") }) {
				if o.key == choiceUnsure {
					unsure = o
				} else {
					found = o
					hits++
				}
				break
			}
		}
	}
	if hits != 1 && unsure.key != "" {
		return unsure, true
	}
	return found, hits == 1
}

// bare finds the option of which a text is the very word, and so says no more than a
// tap does.
func bare(p prompt, text string) (option, bool) {
	said := wording.Plain(text)
	for _, o := range p.options {
		if said == wording.Plain(o.key) || slices.ContainsFunc(o.typed, func(w string) bool { return said == wording.Plain(w) }) {
			return o, true
		}
	}
	return option{}, false
}

// pickSeveral finds every option that was spoken of.
func pickSeveral(p prompt, text string) []string {
	said := " " + wording.Plain(text) + " "
	var keys []string
	for _, o := range p.options {
		if o.key == choiceDone {
			continue
		}
		for _, w := range o.typed {
			if w := wording.Plain(w); len(w) > 2 && strings.Contains(said, " "+w+" ") {
				keys = append(keys, o.key)
				break
			}
		}
	}
	return keys
}

// echo repeats what was chosen, for the buttons leave no trace in the chat.
func echo(labels []string) string {
	if len(labels) == 0 {
		return ""
	}
	return "✓ " + strings.TrimSuffix(strings.Join(labels, ", "), " ›")
}

func labels(p prompt, keys []string) []string {
	var out []string
	for _, o := range p.options {
		if slices.Contains(keys, o.key) {
			out = append(out, o.label)
		}
	}
	return out
}

// inOrder are the chosen keys in the order the question lists them.
func inOrder(p prompt, keys []string) []string {
	var out []string
	for _, o := range p.options {
		if slices.Contains(keys, o.key) {
			out = append(out, o.key)
		}
	}
	return out
}
