package pricing

// Match is what was found of a car in what somebody wrote.
type Match struct {
	// Vehicle is the car, if there is only one it can be.
	Vehicle *Vehicle
	// Ambiguous are the cars it can be, if there are several.
	Ambiguous []Vehicle
	// Rest is what was not part of the car's name.
	Rest string
}

// MatchVehicle finds a car in what somebody wrote.
func (r *Rules) MatchVehicle(text string) Match { return Match{Rest: text} }
