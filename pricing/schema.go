package pricing

import "example.org/dryhand/pricing/plainyaml"

// Schema is a JSON Schema of the rules file, for editors. It knows both kinds: a file
// that says everything, and one that leaves the rest to the shipped rules.
func Schema() ([]byte, error) {
	var b book
	if err := plainyaml.Decode("rules.yaml", DefaultYAML(), &b).Err(); err != nil {
		return nil, err
	}
	return plainyaml.Schema("Dryhand rules", &b, "rest", restShipped)
}
