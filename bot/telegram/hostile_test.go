package telegram_test

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"example.org/dryhand/bot/telegram"
)

// A file that drips in is given up, however long it would go on.
func TestDownloadThatDripsIsGivenUp(t *testing.T) {
	c := files(t, `{"file_id":"x","file_path":"a"}`, func(w http.ResponseWriter, r *http.Request) {
		for r.Context().Err() == nil {
			fmt.Fprint(w, "x")
			w.(http.Flusher).Flush()
			time.Sleep(5 * time.Millisecond)
		}
	})
	telegram.SetFilePatience(c, 200*time.Millisecond)
	ctx, stop := context.WithTimeout(t.Context(), patience)
	defer stop()
	if _, err := c.Fetch(ctx, "x"); err == nil || ctx.Err() != nil {
		t.Errorf("%v, and nobody but the test gave it up: %v", err, ctx.Err())
	}
}

// The path of a file is the platform's and goes back to it as it came: it leads
// nowhere else, neither there nor here.
func TestPathsOfFilesLeadNowhere(t *testing.T) {
	for _, path := range []string{"../../etc/passwd", "/etc/passwd", `..\..\x`, "a?b=c#d", "%2e%2e/x", "a\x00b", "//elsewhere.example/x", "photos/file 1.jpg"} {
		var asked string
		c := files(t, fmt.Sprintf(`{"file_id":"x","file_path":%q}`, strings.ReplaceAll(path, "\x00", "")), func(w http.ResponseWriter, r *http.Request) {
			asked = r.URL.Path + "?" + r.URL.RawQuery
			fmt.Fprint(w, "bytes")
		})
		got, err := c.Fetch(context.Background(), "x")
		want := "/file/bot" + token + "/" + strings.ReplaceAll(path, "\x00", "") + "?"
		if err == nil && (string(got) != "bytes" || asked != want) {
			t.Errorf("%q: asked for %q, want %q", path, asked, want)
		}
		if err != nil && strings.Contains(err.Error(), token) {
			t.Errorf("%q: the error says the token", path)
		}
	}
}
