package reading

import (
	"strconv"
	"strings"

	"example.org/dryhand/pricing"
)

// number is the value of a whole number in digits, -1 if it is none.
func number(w string) int {
	if !isNumber(w) || len(w) > 9 {
		return -1
	}
	n, err := strconv.Atoi(w)
	if err != nil {
		return -1
	}
	return n
}

func isNumber(w string) bool { return w != "" && strings.Trim(w, "0123456789") == "" }

// The figures that a job of this trade may cost; what lies outside is not taken
// for a budget unless it has a currency with it. Common practice, no source.
const (
	cheapest = 15
	dearest  = 3000
)

// sum is an amount found in tokens from..to, in pounds.
type sum struct {
	from, to, pounds int
	// sure: a currency stands with it. ish: it is said to be rough.
	sure, ish bool
	// range: it is the upper end of two.
	upper bool
}

// money reads what somebody would spend: the first sum that is theirs.
func (p *page) money(out *Reading) {
	for i := 0; i < len(p.words); i++ {
		s, ok := p.sumAt(i)
		if !ok {
			continue
		}
		i = s.to - 1
		if out.Budget.Kind != "" || !p.spendable(s) {
			continue
		}
		out.Budget = Budget{pricing.Pence(s.pounds) * 100, p.limit(s), p.span(s.from, s.to)}
		p.take(s.from, s.to)
	}
}

// sumAt reads an amount that begins at a word, with its currency and the upper
// end of a range.
func (p *page) sumAt(i int) (sum, bool) {
	s := sum{from: i, to: i}
	if p.key(i) == "£" {
		s.sure, s.to = true, i+1
	}
	pounds, ish, to := p.amount(s.to)
	if pounds < 0 {
		return s, false
	}
	s.pounds, s.ish, s.to, s.upper = pounds, ish, to, strings.Contains(p.key(to-1), "/")
	s.readCurrency(p)
	if p.key(s.to) == "short" && p.key(s.to+1) == "of" {
		if whole, ok := p.sumAt(s.to + 2); ok && whole.pounds > s.pounds {
			whole.from, whole.pounds = s.from, whole.pounds-s.pounds
			return whole, true
		}
	}
	if next, joined := p.rangeTo(s.to); joined {
		if up, ok := p.sumAt(next); ok && up.pounds > s.pounds && up.pounds <= 3*s.pounds {
			s.pounds, s.to, s.upper, s.sure = up.pounds, up.to, true, s.sure || up.sure
		}
	}
	return s, true
}

func (s *sum) readCurrency(p *page) {
	for i := s.from; i < s.to; i++ {
		s.sure = s.sure || p.has(i, currency)
	}
	for p.has(s.to, currency) && p.together(s.from, s.to) {
		s.sure, s.to = true, s.to+1
	}
	if p.key(s.to) == "ish" && p.together(s.from, s.to) {
		s.ish, s.to = true, s.to+1
	}
}

// rangeTo is where the upper end of a range begins, if one follows.
func (p *page) rangeTo(i int) (int, bool) {
	if i >= len(p.words) || !p.together(i-1, i) {
		return 0, false
	}
	switch p.key(i) {
	case "to", "or":
		return i + 1, i+1 < len(p.words) && p.together(i, i+1)
	case "and":
		return i + 1, i+1 < len(p.words) && p.together(i, i+1) && p.betweens(i)
	}
	gap := strings.TrimSpace(p.text[p.words[i-1].to:p.words[i].from])
	return i, gap == "-" || gap == "–"
}

// betweens tells whether "between" or "from" stands shortly before.
func (p *page) betweens(i int) bool {
	for k := max(0, i-4); k < i; k++ {
		if (p.key(k) == "between" || p.key(k) == "from") && p.together(k, i) {
			return true
		}
	}
	return false
}

// amount reads digits or number words as whole pounds; -1 is no amount.
func (p *page) amount(i int) (pounds int, ish bool, to int) {
	if i >= len(p.words) || p.words[i].taken {
		return -1, false, i
	}
	w := strings.ReplaceAll(p.key(i), ",", "")
	if low, high, ok := strings.Cut(w, "/"); ok && len(low) > 1 && len(high) > 1 && number(low) >= cheapest && number(high) > number(low) {
		return number(high), false, i + 1
	}
	if bare, ok := strings.CutSuffix(w, "k"); ok && len(bare) == 1 && isNumber(bare) && p.key(i-1) == "£" {
		return number(bare) * 1000, false, i + 1
	}
	for _, end := range []string{"ish", "quid", "pounds", "pound", "gbp"} {
		if bare := strings.TrimSuffix(w, end); bare != w && isNumber(bare) {
			return number(bare), end == "ish", i + 1
		}
	}
	if whole, pence, ok := strings.Cut(w, "."); ok && isNumber(whole) && len(pence) == 2 && isNumber(pence) {
		return number(whole), false, i + 1
	}
	if isNumber(w) && w[0] != '0' {
		if p.key(i+1) == "hundred" && len(w) == 1 && p.together(i, i+1) {
			return number(w) * 100, false, i + 2
		}
		return number(w), false, i + 1
	}
	pounds, to = p.wordNumber(i)
	return pounds, false, to
}

// wordNumber reads "fifty", "a hundred and twenty", "one fifty", "a ton"; -1 is
// no number.
func (p *page) wordNumber(i int) (n, to int) {
	n, to = -1, i
	for at := i; at < len(p.words) && (at == i || !p.cut(at)); at++ {
		w := p.key(at)
		v, ok := p.book.Numbers[w]
		if hundreds := p.book.Numbers[p.key(at+2)]; n < 0 && w == "couple" && p.key(at+1) == "of" && hundreds >= 100 {
			n, to, at = 2*hundreds, at+3, at+2
			continue
		}
		switch {
		case (w == "a" && n < 0 || w == "and" && n >= 100) && p.book.Numbers[p.key(at+1)] > 0:
			continue
		case !ok || p.words[at].taken:
			return n, to
		}
		n, to = compose(n, v), at+1
		if n >= 100 && p.key(to) == "and" && p.key(to+1) == "a" && p.key(to+2) == "half" {
			return n + v/2, to + 3
		}
	}
	return n, to
}

// compose puts a further number word behind a number: one + fifty is 150 as
// money is spoken of, two + hundred 200, hundred + twenty 120.
func compose(n, v int) int {
	switch {
	case n < 0:
		return v
	case n < 10 && v >= 100:
		return n * v
	case n < 10 && v >= 10:
		return n*100 + v
	}
	return min(n+v, 1_000_000)
}

// spendable tells whether a sum is what somebody would spend: it has a currency,
// or is spoken of as a budget, and is nobody else's, nor anything but money.
func (p *page) spendable(s sum) bool {
	if s.pounds > 100_000 || p.before(s.from, 7, notMine) || p.after(s.to-1, 2, notMine) {
		return false
	}
	if s.sure {
		return s.pounds > 0
	}
	if s.pounds < cheapest || s.pounds > dearest || p.after(s.to-1, 0, notMoney) || p.numbersBeside(s) {
		return false
	}
	said := p.before(s.from, 2, budgetCue, most, least) || s.upper && (p.betweens(s.from+1) || s.pounds%5 == 0) || p.before(s.from, 0, about) ||
		p.after(s.to-1, 2, most, least, budgetCue) || p.after(s.to-1, 0, noMore)
	return said || s.ish || p.offered(s)
}

// offered tells whether a bare sum is put as a question: "mini valet, 40?", "110 ok?".
func (p *page) offered(s sum) bool {
	if s.pounds%5 != 0 {
		return false
	}
	return p.words[s.to-1].asked && p.cut(s.from) || p.after(s.to-1, 0, offer)
}

// numbersBeside tells whether other figures stand right beside, as in a
// telephone number.
func (p *page) numbersBeside(s sum) bool {
	beside := func(i, o int) bool {
		return i >= 0 && i < len(p.words) && p.together(i, o) && !p.words[max(i, o)].comma && isNumber(p.key(i))
	}
	return beside(s.from-1, s.from) || beside(s.to, s.to-1)
}

// capReach is how far behind a sum, in the same sentence, it may be said that it
// is all there is.
const capReach = 10

// limit says how a sum is meant.
func (p *page) limit(s sum) Limit {
	switch {
	case p.before(s.from, 1, least) || p.after(s.to-1, 0, least):
		return Least
	case s.upper, p.before(s.from, 2, most), p.after(s.to-1, 1, most), p.after(s.to-1, capReach, noMore):
		return Most
	}
	return About
}
