package telegram_test

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"testing"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot/telegram"
)

// A message leaves in one piece, its length told before it; a file, however long,
// leaves whole.
func TestMessagesLeaveInOnePiece(t *testing.T) {
	type call struct {
		length int64
		text   string
		file   int
	}
	var got []call
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		c := call{length: r.ContentLength, text: r.FormValue("text")}
		if f, _, err := r.FormFile("document"); err == nil {
			data, _ := io.ReadAll(f)
			c.file = len(data)
		}
		got = append(got, c)
		fmt.Fprint(w, `{"ok":true,"result":{"message_id":1,"date":1,"chat":{"id":1,"type":"private"}}}`)
	}))
	defer platform.Close()
	client, err := telegram.NewClient(token, platform.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer client.Close()
	if _, err := client.SendMessage(t.Context(), &tg.SendMessageParams{ChatID: int64(1), Text: "Hello"}); err != nil {
		t.Fatal(err)
	}
	const long = 300_000
	for _, size := range []int{10, long} {
		file := &models.InputFileUpload{Filename: "a.bin", Data: bytes.NewReader(make([]byte, size))}
		if _, err := client.SendDocument(t.Context(), &tg.SendDocumentParams{ChatID: int64(1), Document: file}); err != nil {
			t.Fatal(err)
		}
	}
	if len(got) != 3 {
		t.Fatalf("%d calls", len(got))
	}
	if got[0].text != "Hello" || got[0].length <= 0 {
		t.Errorf("a message of length %d, %q: want its length told", got[0].length, got[0].text)
	}
	if got[1].file != 10 || got[1].length <= 0 || got[2].file != long {
		t.Errorf("files: %+v", got[1:])
	}
}

// The message that comes back with the platform's consent is not read; what else it
// answers is.
func TestAnswersAreReadAsFarAsTheyAreNeeded(t *testing.T) {
	var answer string
	platform := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { fmt.Fprint(w, answer) }))
	defer platform.Close()
	client, err := telegram.NewClient(token, platform.URL)
	if err != nil {
		t.Fatal(err)
	}
	defer client.Close()
	send := func() (*models.Message, error) {
		return client.SendMessage(t.Context(), &tg.SendMessageParams{ChatID: int64(1), Text: "Hello"})
	}
	answer = `{"ok":true,"result":{"message_id":17}}`
	if m, err := send(); err != nil || m.ID != 0 {
		t.Errorf("%+v, %v: want no message and no error", m, err)
	}
	for _, bad := range []string{`{"ok":false,"error_code":400,"description":"Bad Request: no"}`, `{"ok":true,"result":{"message_id":17`, `{"ok":true,"result":{"message_id":17}} and more`} {
		answer = bad
		if _, err := send(); err == nil {
			t.Errorf("%s: no error", bad)
		}
	}
	answer = `{"ok":true,"result":{"file_id":"f","file_unique_id":"u","file_path":"p"}}`
	if f, err := client.GetFile(t.Context(), &tg.GetFileParams{FileID: "f"}); err != nil || f.FilePath != "p" {
		t.Errorf("%+v, %v: want the file", f, err)
	}
}
