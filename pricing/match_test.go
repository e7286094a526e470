package pricing_test

import (
	"strings"
	"testing"

	"example.org/dryhand/pricing"
	"github.com/google/go-cmp/cmp"
)

// Phrases as people write them, made up here. More than one name after the bar
// means: ask which.
func TestMatchVehicle(t *testing.T) {
	tests := []struct{ text, want, rest string }{
		{"Fiesta", "Ford Fiesta", ""},
		{"ford fiesta", "Ford Fiesta", ""},
		{"FORD FIESTA ST-Line 2019", "Ford Fiesta", "Line"},
		{"its a 2017 fiesta", "Ford Fiesta", "its a"},
		{"Ford fiestta", "Ford Fiesta", ""},
		{"feista", "Ford Fiesta", ""},
		{"golf", "Volkswagen Golf Hatchback|Volkswagen Golf Estate|Volkswagen Golf Cabriolet", ""},
		{"Golf estate", "Volkswagen Golf Estate", ""},
		{"VW Golf GTI", "Volkswagen Golf Hatchback", ""},
		{"volkswagon golf hatchback 2014", "Volkswagen Golf Hatchback", ""},
		{"golf cabriolet", "Volkswagen Golf Cabriolet", ""},
		{"vw glof convertible", "Volkswagen Golf Cabriolet", ""},
		{"polo", "Volkswagen Polo", ""},
		{"fiat 500", "Fiat 500 Hatchback|Fiat 500C", ""},
		{"Fiat 500 convertible", "Fiat 500C", ""},
		{"fiat 500 soft top 2016", "Fiat 500C", ""},
		{"fiat 500c", "Fiat 500C", ""},
		{"Fiat 500 Lounge", "Fiat 500 Hatchback", ""},
		{"500x", "Fiat 500X", ""},
		{"cinquecento", "Fiat 500 Hatchback", ""},
		{"mx5", "Mazda MX-5", ""},
		{"Mazda MX-5", "Mazda MX-5", ""},
		{"mx 5 roadster", "Mazda MX-5", ""},
		{"mx5 rf", "Mazda MX-5 RF", ""},
		{"mazda 3", "Mazda 3", ""},
		{"mazda3 2019", "Mazda 3", ""},
		{"Mazda 6 estate", "Mazda 6 Tourer", ""},
		{"bmw 3 series", "BMW 3 Series Saloon|BMW 3 Series Touring", ""},
		{"bmw 320d", "BMW 3 Series Saloon|BMW 3 Series Touring", ""},
		{"BMW 320d touring", "BMW 3 Series Touring", ""},
		{"bmw 118i", "BMW 1 Series", ""},
		{"a 1 series beemer", "BMW 1 Series", "a"},
		{"BMW M140i", "BMW 1 Series", ""},
		{"bmw x5 m sport", "BMW X5", "m sport"},
		{"audi a3", "Audi A3 Sportback|Audi A3 Saloon|Audi A3 Cabriolet", ""},
		{"audi a3 saloon", "Audi A3 Saloon", ""},
		{"audi s3 sportback black edition", "Audi A3 Sportback", "black edition"},
		{"Audi RS6", "Audi A6 Avant", ""},
		{"audi tt roadster", "Audi TT Roadster", ""},
		{"merc a class", "Mercedes A-Class", ""},
		{"Mercedes A180d AMG Line", "Mercedes A-Class", "AMG Line"},
		{"mercedes-benz c220 estate", "Mercedes C-Class Estate", ""},
		{"mercedes c class cabriolet", "Mercedes C-Class Cabriolet", ""},
		{"range rover", "Land Rover Range Rover", ""},
		{"Range Rover Sport HSE", "Land Rover Range Rover Sport", "HSE"},
		{"evoque", "Land Rover Range Rover Evoque", ""},
		{"landrover defender 90", "Land Rover Defender 90", ""},
		{"discovery sport", "Land Rover Discovery Sport", ""},
		{"qashqai", "Nissan Qashqai", ""},
		{"nissan cashcai", "Nissan Qashqai", ""},
		{"Nissan Quashqui 2012", "Nissan Qashqai", ""},
		{"nissan note", "Nissan Note", ""},
		{"juke", "Nissan Juke", ""},
		{"Peugeot 208", "Peugeot 208", ""},
		{"pug 208", "Peugeot 208", ""},
		{"Peugeot 2008", "Peugeot 2008", ""},
		{"peugot 2008 2021", "Peugeot 2008", ""},
		{"peugeot 308 sw", "Peugeot 308 SW", ""},
		{"206cc", "Peugeot 206 CC", ""},
		{"corsa", "Vauxhall Corsa", ""},
		{"Vauxhall Corser 1.2", "Vauxhall Corsa", "1 2"},
		{"opel corsa", "Vauxhall Corsa", ""},
		{"vauxhal astra estate", "Vauxhall Astra Estate", ""},
		{"Mini", "Mini Hatch|Mini Convertible", ""},
		{"mini cooper s convertible", "Mini Convertible", ""},
		{"bmw mini countryman", "Mini Countryman", ""},
		{"mini cooper 5 door", "Mini Hatch", ""},
		{"transit", "Ford Transit", ""},
		{"ford transit custom van", "Ford Transit Custom", ""},
		{"vw transporter t6", "Volkswagen Transporter", ""},
		{"tesla model 3", "Tesla Model 3", ""},
		{"tesla model y long range", "Tesla Model Y", "long range"},
		{"hyundai i10", "Hyundai i10", ""},
		{"i 20", "Hyundai i20", ""},
		{"hundai tuscon", "Hyundai Tucson", ""},
		{"kia sportidge", "Kia Sportage", ""},
		{"Kia e-Niro", "Kia Niro", ""},
		{"ioniq 5", "Hyundai Ioniq 5", ""},
		{"VW ID.3", "Volkswagen ID.3", ""},
		{"id3", "Volkswagen ID.3", ""},
		{"Skoda Octavia estate vRS", "Skoda Octavia Estate", "vRS"},
		{"Škoda Fabia hatch", "Skoda Fabia Hatchback", ""},
		{"citroën c3", "Citroen C3", ""},
		{"citreon c3 aircross", "Citroen C3 Aircross", ""},
		{"porsche 911", "Porsche 911 Coupe|Porsche 911 Cabriolet", ""},
		{"porche boxter", "Porsche Boxster", ""},
		{"jazz", "Honda Jazz", ""},
		{"honda crv", "Honda CR-V", ""},
		{"rav4", "Toyota RAV4", ""},
		{"yaris cross", "Toyota Yaris Cross", ""},
		{"Toyota Aygo X", "Toyota Aygo", ""},
		{"vw up", "Volkswagen Up", ""},
		{"ford ka", "Ford Ka", ""},
		{"renault captur", "Renault Captur", ""},
		{"volvo xc 60", "Volvo XC60", ""},
		{"smart car", "Smart ForTwo Coupe|Smart ForTwo Cabrio", ""},
		{"bentley continental gt", "Bentley Continental GT", ""},
		{"golf estate, black, needs a deep clean before Saturday", "Volkswagen Golf Estate", "black needs a deep clean before Saturday"},
		{"Can you do my Insignia estate next week? Its got dog hair", "Vauxhall Insignia Estate", "Can you do my next week Its got dog hair"},
		{"I have a golf estate and a polo", "Volkswagen Golf Estate|Volkswagen Polo", "I have a and a"},
		{"fiesta or maybe the corsa", "Ford Fiesta|Vauxhall Corsa", "or maybe the"},
		// A body style that is in no table for this car: ask, do not guess.
		{"fiesta convertible", "Ford Fiesta", ""},
		// Not cars.
		{"", "", ""},
		{"how much for a mini valet", "", "how much for a mini valet"},
		{"please note the gate is locked", "", "please note the gate is locked"},
		{"I want to stay under 500", "", "I want to stay under 500"},
		{"what's up", "", "what s up"},
		{"can you come in spring", "", "can you come in spring"},
		{"a micro fibre cloth and 107 miles", "", "a micro fibre cloth and 107 miles"},
		{"Jaguar XK", "", "XK"},
		{"lexus sc 430", "", "sc 430"},
		{"bmw z8", "", "z8"},
		{"Morris Minor 1965", "", "Morris Minor"},
		{"bmw", "", ""},
		{"soft top 2015", "", ""},
	}
	r := pricing.DefaultRules()
	for _, tt := range tests {
		m := r.MatchVehicle(tt.text)
		var got []string
		if m.Vehicle != nil {
			got = append(got, m.Vehicle.Name)
		}
		for _, v := range m.Ambiguous {
			got = append(got, v.Name)
		}
		if d := cmp.Diff(tt.want, strings.Join(got, "|")); d != "" {
			t.Errorf("%q: -want +got:\n%s", tt.text, d)
		}
		if m.Rest != tt.rest {
			t.Errorf("%q: rest %q, want %q", tt.text, m.Rest, tt.rest)
		}
		if tt.text == "fiesta convertible" && m.Vehicle != nil {
			t.Errorf("%q: taken for %s without asking", tt.text, m.Vehicle.Name)
		}
	}
}

// Every car of the table is found by its own name, alone or among others that
// share it.
func TestEveryVehicleFound(t *testing.T) {
	r := pricing.DefaultRules()
	all := r.Vehicles()
	if len(all) < 150 {
		t.Errorf("%d cars in the table, want at least 150", len(all))
	}
	seen := map[string]bool{}
	for _, v := range all {
		if seen[v.Name] {
			t.Errorf("%s stands in the table twice", v.Name)
		}
		seen[v.Name] = true
		for _, text := range []string{v.Name, strings.ToUpper(v.Name), "my " + v.Name + " is filthy"} {
			m := r.MatchVehicle(text)
			if m.Vehicle == nil || m.Vehicle.Name != v.Name {
				t.Errorf("%q: got %+v", text, m)
			}
		}
	}
}

func FuzzMatchVehicle(f *testing.F) {
	for _, s := range []string{"golf", "VW Golf GTI 2015", "bmw 320d touring", "é 500 ", "mini mini mini", "id.3\x00", "A180d\xff"} {
		f.Add(s)
	}
	r := pricing.DefaultRules()
	f.Fuzz(func(t *testing.T, s string) {
		m := r.MatchVehicle(s)
		if m.Vehicle != nil && len(m.Ambiguous) > 0 {
			t.Errorf("%q: both one car and several", s)
		}
		if len(m.Rest) > 4*len(s)+1 {
			t.Errorf("%q: the rest grew to %q", s, m.Rest)
		}
		if d := cmp.Diff(m, r.MatchVehicle(s)); d != "" {
			t.Errorf("%q: twice the same text, two answers:\n%s", s, d)
		}
	})
}
