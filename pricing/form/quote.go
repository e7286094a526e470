package form

import (
	"encoding/json"
	"math"

	"example.org/dryhand/pricing"
)

// Quote is the JSON form of a quote. Money is in pence.
type Quote struct {
	Vehicle string `json:"vehicle"`
	// Refused or NeedToSee, if there, say why there is no price for a customer.
	Refused   string  `json:"refused,omitempty"`
	NeedToSee string  `json:"need_to_see,omitempty"`
	Minutes   Minutes `json:"minutes"`
	Price     Price   `json:"price"`
	// Sure is the probability of staying within the budget, if there is one, and
	// Fits whether that is enough.
	Fits        *bool      `json:"fits,omitempty"`
	Sure        *float64   `json:"sure,omitempty"`
	In          []Line     `json:"in"`
	Out         []Left     `json:"out"`
	Further     []Left     `json:"further,omitempty"`
	WontComeOut []string   `json:"wont_come_out"`
	Refer       []Referral `json:"refer"`
	Because     []Driver   `json:"because"`
	AskNext     []Ask      `json:"ask_next"`
	Notes       []string   `json:"notes"`
	Rules       string     `json:"rules"`
}

// Minutes of hands-on work, to a tenth.
type Minutes struct {
	P10    float64 `json:"p10"`
	Likely float64 `json:"likely"`
	P80    float64 `json:"p80"`
	P90    float64 `json:"p90"`
}

// Price in pence.
type Price struct {
	Low    pricing.Pence `json:"low"`
	Likely pricing.Pence `json:"likely"`
	High   pricing.Pence `json:"high"`
}

// Line is one task of the job.
type Line struct {
	Task    string  `json:"task"`
	Words   string  `json:"words"`
	Minutes float64 `json:"minutes"`
	// AtMost is after how many minutes open-ended work stops, if a budget says so.
	AtMost float64       `json:"at_most,omitempty"`
	Price  pricing.Pence `json:"price"`
}

// Left is one task left out.
type Left struct {
	Task  string        `json:"task"`
	Words string        `json:"words"`
	Adds  pricing.Pence `json:"adds"`
	Why   string        `json:"why"`
}

// Referral is something for another trade.
type Referral struct {
	Flag  string `json:"flag"`
	Words string `json:"words"`
}

// Driver is one reason for the price.
type Driver struct {
	Words  string        `json:"words"`
	Effect pricing.Pence `json:"effect"`
}

// Ask is a question worth asking next, and by how much the answer moves the
// price.
type Ask struct {
	Area  pricing.Area  `json:"area"`
	Moves pricing.Pence `json:"moves"`
}

// Encode writes a quote for a vehicle, with what is worth asking next, as
// indented JSON that ends in a line break.
func Encode(v pricing.Vehicle, q pricing.Quote, n pricing.Next) ([]byte, error) {
	return marshal(of(v, q, n))
}

// EncodeFitted is [Encode] for a job chosen for a budget.
func EncodeFitted(v pricing.Vehicle, f pricing.Fitted, n pricing.Next) ([]byte, error) {
	out := of(v, f.Quote, n)
	sure := math.Round(f.Sure*1000) / 1000
	out.Fits, out.Sure, out.Further = &f.Fits, &sure, lefts(f.Further)
	return marshal(out)
}

func marshal(q Quote) ([]byte, error) {
	out, err := json.MarshalIndent(q, "", "  ")
	if err != nil {
		return nil, err
	}
	return append(out, '\n'), nil
}

func of(v pricing.Vehicle, q pricing.Quote, n pricing.Next) Quote {
	out := Quote{
		Vehicle: v.Name, Refused: q.Refused, NeedToSee: q.NeedToSee,
		Minutes: Minutes{tenth(q.Minutes.P10), tenth(q.Minutes.Likely), tenth(q.Minutes.P80), tenth(q.Minutes.P90)},
		Price:   Price(q.Price),
		In:      []Line{}, Out: lefts(q.Out), Refer: []Referral{}, Because: []Driver{}, AskNext: []Ask{},
		WontComeOut: append([]string{}, q.WontComeOut...), Notes: append([]string{}, q.Notes...), Rules: q.Rules,
	}
	for _, l := range q.In {
		out.In = append(out.In, Line{l.Task, l.Words, tenth(l.Minutes), tenth(l.AtMost), l.Price})
	}
	for _, r := range q.Refer {
		out.Refer = append(out.Refer, Referral(r))
	}
	for _, d := range q.Because {
		out.Because = append(out.Because, Driver(d))
	}
	for _, a := range n.Ask {
		out.AskNext = append(out.AskNext, Ask(a))
	}
	return out
}

func lefts(all []pricing.Left) []Left {
	out := []Left{}
	for _, l := range all {
		out = append(out, Left{l.Task, l.Words, l.Adds, l.Why})
	}
	return out
}

func tenth(x float64) float64 { return math.Round(x*10) / 10 }
