// Package form is the JSON form of an enquiry and of a quote, as `dryhand quote`
// reads and writes them.
//
// An enquiry:
//
//	{
//	  "vehicle": "Golf estate 2016",
//	  "wants": ["exterior", "headlights"],
//	  "answers": {"paintwork": 2, "wheels": 3},
//	  "grades": {"headlights": 3},
//	  "flags": ["dark-paint"],
//	  "place": {"site": "customer", "miles": 6, "tap": true, "socket": true,
//	            "surface": "driveway", "drain": "foul"},
//	  "budget": 120,
//	  "priorities": ["headlights"]
//	}
//
// Instead of words, vehicle may be {"body": "estate", "length_mm": 4600,
// "width_mm": 1800, "height_mm": 1480}; only body is needed. grades are what
// somebody who knows has seen, answers the numbers of the descriptions a customer
// chose. All but vehicle and wants may be left out; without a place, the customer
// comes to the unit. Money comes in pounds and goes out in pence.
package form

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"
	"strings"

	"example.org/dryhand/pricing"
	"example.org/dryhand/pricing/plainyaml"
)

// Decode reads an enquiry. The error joins [pricing.FieldError]s, one for
// everything that is wrong, each with the path of its field.
func Decode(r *pricing.Rules, src []byte) (pricing.Enquiry, error) {
	d := &decoder{rules: r}
	d.enquiry(src)
	if err := errors.Join(d.errs...); err != nil {
		return pricing.Enquiry{}, fmt.Errorf("form: reading the enquiry: %w", err)
	}
	// What can be read may still make no sense to these rules.
	if err := r.Check(d.e); err != nil {
		return pricing.Enquiry{}, fmt.Errorf("form: reading the enquiry: %w", err)
	}
	return d.e, nil
}

type decoder struct {
	rules *pricing.Rules
	e     pricing.Enquiry
	errs  []error
}

func (d *decoder) add(field, format string, args ...any) {
	d.errs = append(d.errs, &pricing.FieldError{Field: field, Text: fmt.Sprintf(format, args...)})
}

// fields are what an object may hold, by name.
type fields map[string]func(path string, raw json.RawMessage)

// object reads an object field by field; fields it does not know are mistakes.
func (d *decoder) object(path string, raw []byte, known fields) bool {
	var m map[string]json.RawMessage
	if err := json.Unmarshal(raw, &m); err != nil || m == nil {
		d.add(orWhole(path), "must be an object such as {\"a\": 1}, not %s", short(raw))
		return false
	}
	for _, name := range slices.Sorted(maps.Keys(m)) {
		at := strings.TrimPrefix(path+"."+name, ".")
		read, ok := known[name]
		if !ok {
			d.add(at, "unknown; %s", plainyaml.Suggest(name, slices.Collect(maps.Keys(known))))
			continue
		}
		read(at, m[name])
	}
	return true
}

func orWhole(path string) string {
	if path == "" {
		return "enquiry"
	}
	return path
}

// short is a value as it stands, cut if it is long.
func short(raw []byte) string {
	const most = 40
	s := string(bytes.TrimSpace(raw))
	if len(s) > most {
		s = strings.ToValidUTF8(s[:most], "") + "…"
	}
	if s == "" {
		return "nothing"
	}
	return s
}

// into makes a reader that decodes a value, and says what it should have been.
func into[T any](d *decoder, v *T, what string) func(string, json.RawMessage) {
	return func(path string, raw json.RawMessage) {
		var x *T
		if err := json.Unmarshal(raw, &x); err != nil || x == nil {
			d.add(path, "must be %s, not %s", what, short(raw))
			return
		}
		*v = *x
	}
}

func (d *decoder) enquiry(src []byte) {
	dec := json.NewDecoder(bytes.NewReader(src))
	var raw json.RawMessage
	if err := dec.Decode(&raw); err != nil {
		d.add("enquiry", "is not JSON: %v", err)
		return
	}
	if _, err := dec.Token(); err != io.EOF {
		d.add("enquiry", "goes on after its end")
		return
	}
	d.twice(raw)
	d.e.Site.Own = true
	var budget float64
	const names = "a list of names"
	ok := d.object("", raw, fields{
		"vehicle":    d.vehicle,
		"wants":      into(d, &d.e.Wants, `a list of names, such as ["exterior"]`),
		"grades":     d.graded(&d.e.Graded),
		"answers":    d.graded(&d.e.Said),
		"flags":      into(d, &d.e.Flags, names),
		"priorities": into(d, &d.e.Priorities, names),
		"budget":     into(d, &budget, "a number of pounds"),
		"place":      d.place,
	})
	if budget < 0 || budget > 1e6 {
		d.add("budget", "must be between 0 and 1000000 pounds, not %g", budget)
	} else {
		d.e.Budget = pricing.Pence(math.Round(budget * 100))
	}
	if ok && d.e.Vehicle.Body == "" && len(d.errs) == 0 {
		d.add("vehicle", `is missing; give words such as "Golf estate", or {"body": "estate", "length_mm": 4600}`)
	}
	if ok && len(d.e.Wants) == 0 && len(d.errs) == 0 {
		d.add("wants", `is missing; give a list of names, such as ["exterior"]`)
	}
}

// twice finds fields that stand in an object more than once. One of the two would
// be lost without a word.
func (d *decoder) twice(raw []byte) {
	type level struct {
		path string
		seen map[string]bool // nil in a list
		name string          // of the field whose value comes next
	}
	var open []*level
	dec := json.NewDecoder(bytes.NewReader(raw))
	for {
		token, err := dec.Token()
		if err != nil {
			return // its end; that it is JSON is known
		}
		var in *level
		if len(open) > 0 {
			in = open[len(open)-1]
		}
		if token == json.Delim('}') || token == json.Delim(']') {
			open = open[:len(open)-1]
			continue
		}
		if in != nil && in.seen != nil && in.name == "" {
			in.name = token.(string)
			if in.seen[in.name] {
				d.add(orWhole(strings.TrimPrefix(in.path+"."+in.name, ".")), "stands here twice; leave one of them")
			}
			in.seen[in.name] = true
			if in.name == "" {
				in.name = "(no name)"
			}
			continue
		}
		path := ""
		if in != nil {
			path, in.name = strings.TrimPrefix(in.path+"."+in.name, "."), ""
		}
		switch token {
		case json.Delim('{'):
			open = append(open, &level{path: path, seen: map[string]bool{}})
		case json.Delim('['):
			open = append(open, &level{path: path})
		}
	}
}

// graded makes a reader of grades by area.
func (d *decoder) graded(into *map[pricing.Area]pricing.Grade) func(string, json.RawMessage) {
	return func(path string, raw json.RawMessage) {
		var m map[pricing.Area]json.RawMessage
		if err := json.Unmarshal(raw, &m); err != nil || m == nil {
			d.add(path, `must be area names with numbers, such as {"wheels": 2}, not %s`, short(raw))
			return
		}
		*into = map[pricing.Area]pricing.Grade{}
		for _, area := range slices.Sorted(maps.Keys(m)) {
			var grade *int
			if err := json.Unmarshal(m[area], &grade); err != nil || grade == nil {
				d.add(path+"."+string(area), "must be a number from 1 to 4, not %s", short(m[area]))
				continue
			}
			(*into)[area] = pricing.Grade(*grade)
		}
	}
}

// vehicle reads words or dimensions.
func (d *decoder) vehicle(path string, raw json.RawMessage) {
	var words string
	if json.Unmarshal(raw, &words) == nil && !bytes.Equal(bytes.TrimSpace(raw), []byte("null")) {
		d.named(path, words)
		return
	}
	var body pricing.Body
	var length, width, height int
	const mm = "a whole number of millimetres"
	if !d.object(path, raw, fields{
		"body":      into(d, &body, "a body style"),
		"length_mm": into(d, &length, mm),
		"width_mm":  into(d, &width, mm),
		"height_mm": into(d, &height, mm),
	}) {
		return
	}
	if !slices.Contains(pricing.Bodies(), body) {
		var all []string
		for _, b := range pricing.Bodies() {
			all = append(all, string(b))
		}
		d.add(path+".body", "%q is unknown; %s", body, plainyaml.Suggest(string(body), all))
		return
	}
	v := pricing.VehicleFromBody(body, length)
	v.LengthMM = cmp.Or(length, v.LengthMM)
	v.WidthMM = cmp.Or(width, v.WidthMM)
	v.HeightMM = cmp.Or(height, v.HeightMM)
	d.e.Vehicle = v
}

// named finds a car by its words. What can be two cars is a mistake, as nobody
// is there to ask.
func (d *decoder) named(path, words string) {
	m := d.rules.MatchVehicle(words)
	switch {
	case m.Vehicle != nil:
		d.e.Vehicle = *m.Vehicle
	case len(m.Ambiguous) > 0:
		var names []string
		for _, v := range m.Ambiguous {
			names = append(names, v.Name)
		}
		d.add(path, "%q can be %s; say which", words, strings.Join(names, " or "))
	default:
		d.add(path, `%q is no car we know; give {"body": "hatchback", "length_mm": 4300} or the like`, words)
	}
}

func (d *decoder) place(path string, raw json.RawMessage) {
	site := "unit"
	s := &d.e.Site
	const yes = "true or false"
	d.object(path, raw, fields{
		"site":    into(d, &site, `"unit" or "customer"`),
		"miles":   into(d, &s.Miles, "a number of miles"),
		"tap":     into(d, &s.Tap, yes),
		"socket":  into(d, &s.Socket, yes),
		"surface": into(d, &s.Surface, "driveway, garage, shared or street"),
		"drain":   into(d, &s.Drain, "soil, foul, surface or unknown"),
	})
	if site != "unit" && site != "customer" {
		d.add(path+".site", `must be "unit" or "customer", not %q`, site)
	}
	s.Own = site == "unit"
}
