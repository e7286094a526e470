package pricing

import "example.org/dryhand/pricing/plainyaml"

// Schema is a JSON Schema of the rules file, for editors.
func Schema() ([]byte, error) { return plainyaml.Schema("Dryhand rules", new(book)) }
