package standin_test

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"regexp"
	"strings"
	"testing"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot/standin"
)

// What the client library sends is accepted, and what comes back is what it
// expects.
func TestEveryCallOfTheClientLibrary(t *testing.T) {
	w, ctx := newWorld(t, standin.Config{}), t.Context()
	w.customer(101, "Mia")
	must := func(what string, err error) {
		t.Helper()
		if err != nil {
			t.Fatalf("%s: %v", what, err)
		}
	}
	me, err := w.client.GetMe(ctx) // sent as multipart with an empty body
	must("getMe", err)
	if me.ID != 1000 || !me.IsBot {
		t.Errorf("getMe = %+v", me)
	}
	buttons := func(label, data string) *models.InlineKeyboardMarkup {
		return &models.InlineKeyboardMarkup{InlineKeyboard: [][]models.InlineKeyboardButton{{{Text: label, CallbackData: data}}}}
	}
	said, err := w.client.SendMessage(ctx, &tg.SendMessageParams{ChatID: 101, Text: "Which part?", ReplyMarkup: buttons("Outside", "o")})
	must("sendMessage", err)
	if got := said.ReplyMarkup.InlineKeyboard[0][0].CallbackData; got != "o" || said.Chat.ID != 101 || int64(said.Date) != start.Unix() {
		t.Errorf("sendMessage = %+v", said)
	}
	_, err = w.client.EditMessageText(ctx, &tg.EditMessageTextParams{ChatID: 101, MessageID: said.ID, Text: "Which part, please?"})
	must("editMessageText", err)
	_, err = w.client.EditMessageReplyMarkup(ctx, &tg.EditMessageReplyMarkupParams{ChatID: 101, MessageID: said.ID, ReplyMarkup: buttons("Inside", "i")})
	must("editMessageReplyMarkup", err)
	photo, err := w.client.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: 101, Caption: "Before", Photo: &models.InputFileUpload{Filename: "b.jpg", Data: bytes.NewReader(jpegOf(t, 640, 480))}})
	must("sendPhoto, uploaded", err)
	id := photo.Photo[len(photo.Photo)-1].FileID
	_, err = w.client.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: 101, Photo: &models.InputFileString{Data: id}})
	must("sendPhoto, by id", err)
	_, err = w.client.EditMessageCaption(ctx, &tg.EditMessageCaptionParams{ChatID: 101, MessageID: photo.ID, Caption: "Before, front"})
	must("editMessageCaption", err)
	album, err := w.client.SendMediaGroup(ctx, &tg.SendMediaGroupParams{ChatID: 101, Media: []models.InputMedia{
		&models.InputMediaPhoto{Media: "attach://a.jpg", Caption: "Left", MediaAttachment: bytes.NewReader(jpegOf(t, 300, 200))},
		&models.InputMediaPhoto{Media: id},
	}})
	must("sendMediaGroup", err)
	if len(album) != 2 || album[0].MediaGroupID == "" || album[0].MediaGroupID != album[1].MediaGroupID {
		t.Errorf("sendMediaGroup = %+v", album)
	}
	_, err = w.client.SendDocument(ctx, &tg.SendDocumentParams{ChatID: 101, Document: &models.InputFileUpload{Filename: "job.ics", Data: strings.NewReader("BEGIN:VCALENDAR")}})
	must("sendDocument", err)
	_, err = w.client.SendLocation(ctx, &tg.SendLocationParams{ChatID: 101, Latitude: 51.5, Longitude: -0.1})
	must("sendLocation", err)
	_, err = w.client.SendChatAction(ctx, &tg.SendChatActionParams{ChatID: 101, Action: models.ChatActionTyping})
	must("sendChatAction", err)
	_, err = w.client.DeleteMessage(ctx, &tg.DeleteMessageParams{ChatID: 101, MessageID: album[1].ID})
	must("deleteMessage", err)
	file, err := w.client.GetFile(ctx, &tg.GetFileParams{FileID: id})
	must("getFile", err)
	if got := w.download(w.client.FileDownloadLink(file)); int64(len(got)) != file.FileSize {
		t.Errorf("downloaded %d bytes of %d", len(got), file.FileSize)
	}
	commands := &tg.SetMyCommandsParams{Commands: []models.BotCommand{{Command: "price", Description: "What would it cost?"}}, Scope: &models.BotCommandScopeChat{ChatID: 101}}
	_, err = w.client.SetMyCommands(ctx, commands)
	must("setMyCommands", err)
	if diff := cmp.Diff([]string{"/price What would it cost?"}, w.Person(101, "").Commands()); diff != "" {
		t.Error(diff)
	}
	_, err = w.client.DeleteMyCommands(ctx, &tg.DeleteMyCommandsParams{Scope: commands.Scope})
	must("deleteMyCommands", err)
	list, err := w.client.GetMyCommands(ctx, &tg.GetMyCommandsParams{Scope: commands.Scope})
	must("getMyCommands", err)
	if len(list) != 0 {
		t.Errorf("after deleteMyCommands there is still %v", list)
	}
	h := w.listen(nil)
	info, err := w.client.GetWebhookInfo(ctx)
	must("getWebhookInfo", err)
	if info.URL != h.url || info.MaxConnections != 40 {
		t.Errorf("getWebhookInfo = %+v", info)
	}
	_, err = w.client.DeleteWebhook(ctx, &tg.DeleteWebhookParams{})
	must("deleteWebhook", err)
	if refused := w.Refusals(); len(refused) != 0 {
		t.Errorf("refused: %+v", refused)
	}
}

func (w *world) download(link string) []byte {
	w.t.Helper()
	r, err := w.http.Get(link)
	if err != nil {
		w.t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		w.t.Fatal(err)
	}
	if r.StatusCode != http.StatusOK {
		return nil
	}
	return data
}

// Every method described in interface.txt is played: none answers 404.
func TestEveryDescribedMethodIsPlayed(t *testing.T) {
	w := newWorld(t, standin.Config{})
	text, err := os.ReadFile("interface.txt")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^method (\S+)$`).FindAllStringSubmatch(string(text), -1)
	if len(found) != 20 {
		t.Errorf("%d methods, want 20", len(found))
	}
	for _, m := range found {
		if got := w.call(m[1], map[string]any{}); got.Code == http.StatusNotFound {
			t.Errorf("%s: %+v", m[1], got)
		}
		if w.Calls()[m[1]].Calls != 1 {
			t.Errorf("%s was not counted", m[1])
		}
	}
}

func TestAddress(t *testing.T) {
	w := newWorld(t, standin.Config{})
	tests := map[string]int{
		"/bot" + token + "/getMe":                  200,
		"/bot" + token + "/GETME":                  200, // the platform does not mind
		"/bot" + token + "/sendVideo":              404,
		"/bot" + token + "/noSuch":                 404,
		"/bot" + token + "/getMe/again":            404,
		"/bot1000:other/getMe":                     401,
		"/botany":                                  404,
		"/":                                        404,
		"/file/bot" + token + "/photos/file_1.jpg": 404,
		"/file/bot1000:other/photos/file_1.jpg":    404,
	}
	for path, want := range tests {
		r, err := w.http.Get(w.url + path)
		if err != nil {
			t.Fatal(err)
		}
		body, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != want || !strings.Contains(string(body), `"ok":`) {
			t.Errorf("%s: %d %s, want %d", path, r.StatusCode, body, want)
		}
	}
}

// The platform reads four kinds of bodies (core.telegram.org/bots/api#making-requests).
func TestBodies(t *testing.T) {
	w := newWorld(t, standin.Config{})
	mia := w.customer(101, "Mia")
	multi := "--x\r\nContent-Disposition: form-data; name=\"chat_id\"\r\n\r\n101\r\n--x\r\nContent-Disposition: form-data; name=\"text\"\r\n\r\nmultipart\r\n--x--\r\n"
	for _, r := range []reply{
		w.post("sendMessage?chat_id=101&text=query", "text/plain", ""),
		w.post("sendMessage", "application/x-www-form-urlencoded", "chat_id=101&text=form"),
		w.post("sendMessage", "application/json", `{"chat_id":101,"text":"json"}`),
		w.post("sendMessage", "application/json", `{"chat_id":"101","text":"json again","reply_markup":null}`),
		w.post("sendMessage", "multipart/form-data; boundary=x", multi),
		w.post("getMe", "multipart/form-data; boundary=x", ""),
	} {
		if !r.OK {
			t.Errorf("%+v", r)
		}
	}
	var got []string
	for _, l := range mia.Chat()[1:] {
		got = append(got, l.Text)
	}
	if diff := cmp.Diff([]string{"query", "form", "json", "json again", "multipart"}, got); diff != "" {
		t.Error(diff)
	}
	for kind, body := range map[string]string{
		"application/json":                `{"chat_id":101,`,
		"multipart/form-data; boundary=x": multi[:60],
	} {
		if r := w.post("sendMessage", kind, body); r.Code != http.StatusBadRequest {
			t.Errorf("%s cut short: %+v", kind, r)
		}
	}
}
