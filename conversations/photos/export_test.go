package photos

// Orientation is opened to its fuzz target: through [Measure] a fuzzer would
// have to find a whole picture first.
func Orientation(kind string, data []byte) int { return orientation(format(kind), data) }
