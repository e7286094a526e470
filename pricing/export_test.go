package pricing

// OpenEVNames are the cars whose figures are said to come from Open EV Data.
func OpenEVNames() []string {
	var out []string
	for _, c := range newGarage().cars {
		if c.source == "openev" {
			out = append(out, c.Name)
		}
	}
	return out
}
