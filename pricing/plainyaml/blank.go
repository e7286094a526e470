package plainyaml

// Blank is a file with nothing in it, to gather mistakes about settings that stand
// in no file, by [File.Wrong].
func Blank(name string) *File { return &File{name: name, at: map[string]place{}} }
