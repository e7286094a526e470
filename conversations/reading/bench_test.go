package reading_test

import "testing"

// BenchmarkRead reads the open messages in turn.
func BenchmarkRead(b *testing.B) {
	r, all := reader(b), messages(b, "open.yaml")
	for i := 0; b.Loop(); i++ {
		r.Read(all[i%len(all)].Text)
	}
}
