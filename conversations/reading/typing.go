package reading

import "strings"

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
		if mistyped(w, k) {
			out = append(out, k)
		}
	}
	return out
}

// mistyped tells whether w can be k with one typing error: a letter left out but
// not the last, one doubled or hit along with its neighbour on the keys, two
// changed over, or one taken for another that is near or sounds alike. Any letter for any other would
// make "charging" of "changing".
func mistyped(w, k string) bool {
	i := 0
	for i < len(w) && i < len(k) && w[i] == k[i] {
		i++
	}
	switch len(w) - len(k) {
	case 0:
		return i < len(w) && (w[i+1:] == k[i+1:] && confused(w[i], k[i]) ||
			i+1 < len(w) && w[i] == k[i+1] && w[i+1] == k[i] && w[i+2:] == k[i+2:])
	case -1:
		return i < len(w) && w[i:] == k[i+1:]
	case 1:
		return w[i+1:] == k[i:] && (i > 0 && (w[i] == w[i-1] || confused(w[i], w[i-1])) || i+1 < len(w) && confused(w[i], w[i+1]))
	}
	return false
}

// rows are the letter keys of a British keyboard; a thumb that misses hits a
// neighbour in the row.
const rows = "qwertyuiop asdfghjkl zxcvbnm"

// confused tells whether one letter is easily taken for another: both vowels,
// neighbours on the keys, or alike in sound.
func confused(a, b byte) bool {
	const vowels = "aeiouy"
	if strings.IndexByte(vowels, a) >= 0 && strings.IndexByte(vowels, b) >= 0 {
		return true
	}
	x, y := strings.IndexByte(rows, a), strings.IndexByte(rows, b)
	if x >= 0 && y >= 0 && (x-y == 1 || y-x == 1) {
		return true
	}
	return strings.Contains("sc cs ck kc sz zs fv vf", string([]byte{a, b}))
}
