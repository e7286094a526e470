package page_test

import (
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin/page"
)

// Days and names stand in the margin once, where they begin.
func TestMargin(t *testing.T) {
	evening := time.Date(2027, 4, 12, 23, 40, 0, 0, time.UTC)
	b := open(t, evening)
	b.ellie.Say("one")
	b.ellie.Say("two")
	b.s.Clock().Set(evening.Add(time.Minute))
	b.ellie.Say("three")
	b.s.Clock().Set(evening.Add(time.Hour))
	b.ellie.Say("four")
	b.ellie.Block()
	_, _, body := b.get("/")
	log := body[strings.Index(body, `id="log-customer"`):strings.Index(body, `id="log-owner"`)]
	var got []string
	for _, m := range regexp.MustCompile(`<h3>(.*?)</h3>|<b>(.*?)</b> <time>(.*?)</time>|class="words">(.*?)</p>`).FindAllStringSubmatch(log, -1) {
		got = append(got, strings.Join(m[1:], "|"))
	}
	want := []string{
		"Monday 12 April 2027|||", "|Ellie|23:40|", "|||one",
		"|||", "|||two",
		"||23:41|", "|||three",
		"Tuesday 13 April 2027|||", "|Ellie|00:40|", "|||four",
		"|||", "|||Ellie has shut the desk out.",
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// Words have a contrast of at least 4.5:1, outlines and the margin of 3:1, light
// and dark (w3.org/TR/WCAG22, 1.4.3 and 1.4.11, "relative luminance" and
// "contrast ratio").
func TestContrast(t *testing.T) {
	css, err := os.ReadFile("page.css")
	if err != nil {
		t.Fatal(err)
	}
	light, rest, ok := strings.Cut(string(css), "@media (prefers-color-scheme: dark)")
	if !ok {
		t.Fatal("no dark colours")
	}
	dark, _, _ := strings.Cut(rest, "* {")
	for scheme, part := range map[string]string{"light": light, "dark": dark} {
		colour := map[string]float64{}
		for _, m := range regexp.MustCompile(`--(\w+): #([0-9a-f]{6});`).FindAllStringSubmatch(part, -1) {
			colour[m[1]] = luminance(t, m[2])
		}
		for _, ground := range []string{"paper", "shade"} {
			for ink, least := range map[string]float64{"ink": 4.5, "hand": 4.5, "faint": 4.5, "red": 4.5, "line": 3} {
				a, b := colour[ink], colour[ground]
				if ratio := (max(a, b) + 0.05) / (min(a, b) + 0.05); len(colour) != 10 || ratio < least {
					t.Errorf("%s: %s on %s has %.2f:1, want %.1f:1 (%d colours)", scheme, ink, ground, ratio, least, len(colour))
				}
			}
		}
	}
}

func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(n) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

// A price is drawn as a hill over the amounts: the marks stand where the prices are,
// the top where it is most probable. Without steps the range is drawn alone.
func TestPriceIsDrawn(t *testing.T) {
	b := open(t, time.Date(2027, 4, 12, 9, 0, 0, 0, time.UTC))
	price := &page.Price{Car: "the Golf", Low: "£80", Likely: "£100", High: "£120", Why: []string{"Wheels (about £10)"}}
	price.Spread = page.Spread{Low: 80, Likely: 100, High: 120, Steps: []page.Step{{From: 60, To: 80, P: .1}, {From: 80, To: 100, P: .5}, {From: 100, To: 120, P: .3}, {From: 120, To: 160, P: .1}}}
	b.behind.Price = price
	_, _, body := b.get("/?show=behind")
	for _, want := range []string{
		`<rect x="70" y="0" width="120"`, // 3 units to the pound
		`class="mark" x1="130"`, `class="end" x1="190"`, "likely £100", "at most £120", "Wheels (about £10)",
	} {
		if !strings.Contains(body, want) {
			t.Errorf("the page lacks %q:\n%s", want, body[strings.Index(body, `id="price"`):strings.Index(body, `id="diary"`)])
		}
	}
	price.Spread.Steps = nil
	_, _, body = b.get("/?show=behind")
	if strings.Contains(body, `class="hill" d=`) || !strings.Contains(body, `<rect class="hill named" x="10" y="62" width="300"`) {
		t.Error("without steps the range is not drawn alone")
	}
	// What nothing moves is said in words: its three marks would stand on one another.
	price.Low, price.Likely, price.High = "£60", "£60", "£60"
	_, _, body = b.get("/?show=behind")
	if strings.Contains(body, `class="mark"`) || !strings.Contains(body, "£60, whatever is found") || strings.Contains(body, "Wheels (about £10)") {
		t.Error("a price that nothing moves is drawn, or said to move")
	}
}
