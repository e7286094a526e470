package standin_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot/standin"
)

type object = map[string]any

// button is an inline keyboard of one button with these fields.
func button(fields object) object {
	return object{"inline_keyboard": [][]object{{fields}}}
}

// row is an inline keyboard of rows of n buttons each.
func row(rows, n int) object {
	var all [][]object
	for i := range rows {
		var one []object
		for j := range n {
			one = append(one, object{"text": "x", "callback_data": fmt.Sprint(i, j)})
		}
		all = append(all, one)
	}
	return object{"inline_keyboard": all}
}

// Every documented limit sees a refusal, and the last value inside it none. The
// numbers are those of core.telegram.org/bots/api in the version 10.1 of
// interface.txt, beside each; a wording marked (mem) is from memory, one marked
// (own) is ours.
func TestLimitsOfCalls(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(101, "Mia")
	w.Person(102, "Never started")
	w.customer(103, "Blocked").Block()
	said := w.call("sendMessage", object{"chat_id": 101, "text": "Hello", "reply_markup": button(object{"text": "Go", "callback_data": "g"})})
	if !said.OK {
		t.Fatal(said)
	}
	mine := w.Person(101, "").Chat()[1].ID
	picture := w.upload(jpegOf(t, 200, 100))
	shown := w.Person(101, "").Chat()[2].ID
	big := w.Person(101, "").SendFile("video.bin", "application/octet-stream", make([]byte, 20<<20+1))
	just := w.Person(101, "").SendFile("video.bin", "application/octet-stream", make([]byte, 20<<20))
	kiss := "\U0001F48B" // two UTF-16 units
	with := func(o object, more ...any) object {
		out := object{"chat_id": 101}
		for k, v := range o {
			out[k] = v
		}
		for i := 0; i+1 < len(more); i += 2 {
			out[more[i].(string)] = more[i+1]
		}
		return out
	}
	text := func(s string) object { return with(object{"text": s}) }
	keys := func(m object) object { return with(object{"text": "Which?"}, "reply_markup", m) }
	tests := []struct {
		name   string
		method string
		body   object
		code   int // 200 for accepted
		want   string
	}{
		// sendMessage: "1-4096 characters after entities parsing".
		{"longest text", "sendMessage", text(strings.Repeat("a", 4096)), 200, ""},
		{"text too long", "sendMessage", text(strings.Repeat("a", 4097)), 400, "message is too long"},
		{"longest in UTF-16", "sendMessage", text(strings.Repeat(kiss, 2048)), 200, ""},
		{"too long in UTF-16", "sendMessage", text(strings.Repeat(kiss, 2048) + "a"), 400, "message is too long"},
		{"markup is not counted", "sendMessage", with(object{"text": "<b>" + strings.Repeat("a", 4096) + "</b>", "parse_mode": "HTML"}), 200, ""},
		{"empty text", "sendMessage", text(""), 400, "message text is empty"},
		{"text of blanks", "sendMessage", text(" \n "), 400, "message text is empty"},
		{"no text", "sendMessage", with(nil), 400, "message text is empty"},
		{"only markup", "sendMessage", with(object{"text": "<b></b>", "parse_mode": "HTML"}), 400, "message text is empty"},
		// HTML: core.telegram.org/bots/api#html-style.
		{"good HTML", "sendMessage", with(object{"text": "<b>a</b> &lt;&amp;&gt; <a href=\"https://example.org\">b</a>", "parse_mode": "HTML"}), 200, ""},
		{"unknown tag", "sendMessage", with(object{"text": "<table>", "parse_mode": "HTML"}), 400, "can't parse entities: Unsupported start tag \"table\" at byte offset 0"},
		{"tag not closed", "sendMessage", with(object{"text": "<b>a", "parse_mode": "HTML"}), 400, "can't parse entities: Can't find end tag corresponding to start tag \"b\""},
		{"tags crossed", "sendMessage", with(object{"text": "<b><i>a</b></i>", "parse_mode": "HTML"}), 400, "can't parse entities: Unmatched end tag at byte offset 7"},
		{"half a tag", "sendMessage", with(object{"text": "a < b", "parse_mode": "HTML"}), 400, "can't parse entities: Unclosed start tag at byte offset 2"}, // (mem)
		{"Markdown", "sendMessage", with(object{"text": "*a*", "parse_mode": "MarkdownV2"}), 400, "stand-in: parse mode \"MarkdownV2\" is not played"},
		// Chats.
		{"no chat", "sendMessage", object{"text": "a"}, 400, "chat_id is empty"},
		{"unknown chat", "sendMessage", with(text("a"), "chat_id", 999), 400, "chat not found"},
		{"channel", "sendMessage", with(text("a"), "chat_id", "@channel"), 400, "chat not found"},
		{"never started", "sendMessage", with(text("a"), "chat_id", 102), 403, "Forbidden: bot can't initiate conversation with a user"},
		{"blocked", "sendMessage", with(text("a"), "chat_id", 103), 403, "Forbidden: bot was blocked by the user"},
		{"blocked, busy", "sendChatAction", object{"chat_id": 103, "action": "typing"}, 403, "Forbidden: bot was blocked by the user"},
		// Names and types of parameters.
		{"unknown parameter", "sendMessage", with(text("a"), "txt", "b"), 400, "stand-in: sendMessage has no parameter \"txt\""},
		{"message id a word", "editMessageText", with(text("a"), "message_id", "first"), 400, "stand-in: message_id must be of type integer"},
		{"latitude a word", "sendLocation", with(object{"latitude": "north", "longitude": 0}), 400, "stand-in: latitude must be of type float"},
		{"latitude missing", "sendLocation", with(object{"longitude": 0}), 400, "parameter \"latitude\" is required"},
		{"truth a number", "answerCallbackQuery", object{"callback_query_id": "1", "show_alert": 7}, 400, "stand-in: show_alert must be of type boolean"},
		{"unknown field", "sendMessage", keys(button(object{"text": "a", "calback_data": "b"})), 400, "stand-in: reply_markup.inline_keyboard[0][0] has a field \"calback_data\", which a InlineKeyboardButton does not have"},
		{"not UTF-8", "", nil, 400, "strings must be encoded in UTF-8"},
		// InlineKeyboardButton: "1-64 bytes", "exactly one of the fields".
		{"longest data", "sendMessage", keys(button(object{"text": "a", "callback_data": strings.Repeat("d", 64)})), 200, ""},
		{"data too long", "sendMessage", keys(button(object{"text": "a", "callback_data": strings.Repeat("d", 65)})), 400, "BUTTON_DATA_INVALID"},
		{"data too long in bytes", "sendMessage", keys(button(object{"text": "a", "callback_data": strings.Repeat("é", 33)})), 400, "BUTTON_DATA_INVALID"},
		{"empty data", "sendMessage", keys(button(object{"text": "a", "callback_data": ""})), 400, "can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard"},
		{"no action", "sendMessage", keys(button(object{"text": "a"})), 400, "can't parse inline keyboard button: Text buttons are unallowed in the inline keyboard"},
		{"two actions", "sendMessage", keys(button(object{"text": "a", "callback_data": "b", "url": "https://example.org"})), 400, "stand-in: a button must have exactly one action"},
		{"the library's copy_text", "sendMessage", keys(button(object{"text": "a", "callback_data": "b", "copy_text": object{"text": ""}})), 200, ""},
		{"a real copy_text too", "sendMessage", keys(button(object{"text": "a", "callback_data": "b", "copy_text": object{"text": "c"}})), 400, "stand-in: a button must have exactly one action"},
		{"no label", "sendMessage", keys(button(object{"text": " ", "callback_data": "b"})), 400, "can't parse inline keyboard button: field \"text\" must not be empty"}, // (own)
		// Undocumented: 100 buttons, 8 a row (other bots' experience).
		{"most buttons", "sendMessage", keys(row(20, 5)), 200, ""},
		{"too many buttons", "sendMessage", keys(row(21, 5)), 400, "reply markup is too long"},
		{"longest row", "sendMessage", keys(row(1, 8)), 200, ""},
		{"row too long", "sendMessage", keys(row(1, 9)), 400, "reply markup is too long"},
		// ForceReply, ReplyKeyboardMarkup: placeholder "1-64 characters".
		{"longest placeholder", "sendMessage", keys(object{"force_reply": true, "input_field_placeholder": strings.Repeat("p", 64)}), 200, ""},
		{"placeholder too long", "sendMessage", keys(object{"force_reply": true, "input_field_placeholder": strings.Repeat("p", 65)}), 400, "input field placeholder is too long"}, // (own)
		{"empty reply button", "sendMessage", keys(object{"keyboard": [][]object{{{"text": ""}}}}), 400, "text of keyboard button can't be empty"},                                 // (own)
		{"reply to nothing", "sendMessage", with(text("a"), "reply_parameters", object{"message_id": 99999}), 400, "message to be replied not found"},                              // (mem)
		{"reply to nothing, allowed", "sendMessage", with(text("a"), "reply_parameters", object{"message_id": 99999, "allow_sending_without_reply": true}), 200, ""},
		// sendPhoto: caption "0-1024 characters", "10 MB", "width and height must not exceed 10000 in total", "ratio at most 20".
		{"longest caption", "sendPhoto", with(object{"photo": picture, "caption": strings.Repeat("c", 1024)}), 200, ""},
		{"caption too long", "sendPhoto", with(object{"photo": picture, "caption": strings.Repeat("c", 1025)}), 400, "message caption is too long"},
		{"unknown file", "sendPhoto", with(object{"photo": "nothing"}), 400, "wrong file identifier/HTTP URL specified"}, // (mem)
		{"file by address", "sendPhoto", with(object{"photo": "https://example.org/a.jpg"}), 400, "stand-in: sending by URL is not played"},
		{"document as photo", "sendPhoto", with(object{"photo": w.fileOf(just)}), 400, "can't use file of type Document as Photo"}, // (mem)
		{"photo as document", "sendDocument", with(object{"document": picture}), 400, "can't use file of type Photo as Document"},
		// sendMediaGroup: "must include 2-10 items"; documents only with their own kind.
		{"album of one", "sendMediaGroup", with(object{"media": items(1, picture)}), 400, "stand-in: an album has 2 to 10 items, not 1"},
		{"largest album", "sendMediaGroup", with(object{"media": items(10, picture)}), 200, ""},
		{"album too large", "sendMediaGroup", with(object{"media": items(11, picture)}), 400, "stand-in: an album has 2 to 10 items, not 11"},
		{"mixed album", "sendMediaGroup", with(object{"media": append(items(1, picture), object{"type": "document", "media": w.fileOf(just)})}), 400, "stand-in: photos and documents do not go into one album"},
		{"buttons on an album", "sendMediaGroup", with(object{"media": items(2, picture), "reply_markup": row(1, 1)}), 400, "stand-in: sendMediaGroup has no parameter \"reply_markup\""},
		{"place off the globe", "sendLocation", with(object{"latitude": 90.5, "longitude": 0}), 400, "wrong location specified"}, // (own)
		{"unknown action", "sendChatAction", with(object{"action": "polishing"}), 400, "wrong parameter action in request"},
		// Edits.
		{"the same again", "editMessageText", with(text("Hello"), "message_id", mine, "reply_markup", button(object{"text": "Go", "callback_data": "g"})), 400, "message is not modified: specified new message content and reply markup are exactly the same as a current content and reply markup of the message"},
		{"edit of nothing", "editMessageText", with(text("a"), "message_id", 99999), 400, "message to edit not found"},
		{"edit of a customer's", "editMessageText", with(text("a"), "message_id", just), 400, "message can't be edited"},
		{"edit without id", "editMessageText", text("a"), 400, "message identifier is not specified"},
		{"edit to nothing", "editMessageText", with(text(""), "message_id", mine), 400, "message text is empty"},
		{"edit too long", "editMessageText", with(text(strings.Repeat("a", 4097)), "message_id", mine), 400, "message is too long"},
		{"caption on a text", "editMessageCaption", with(object{"message_id": mine, "caption": "c"}), 400, "there is no caption in the message to edit"},
		{"text on a photo", "editMessageText", with(text("a"), "message_id", shown), 400, "there is no text in the message to edit"},
		{"delete nothing", "deleteMessage", with(object{"message_id": 99999}), 400, "message to delete not found"},
		// answerCallbackQuery: text "0-200 characters".
		{"toast too long", "answerCallbackQuery", object{"callback_query_id": "1", "text": strings.Repeat("t", 201)}, 400, "MESSAGE_TOO_LONG"},
		{"answer to nothing", "answerCallbackQuery", object{"callback_query_id": "1"}, 400, "query is too old and response timeout expired or query ID is invalid"},
		// getFile: "up to 20MB in size".
		{"largest download", "getFile", object{"file_id": w.fileOf(just)}, 200, ""},
		{"download too large", "getFile", object{"file_id": w.fileOf(big)}, 400, "file is too big"},
		{"no such file", "getFile", object{"file_id": "nothing"}, 400, "invalid file_id"},
		// BotCommand: "1-32 characters … lowercase English letters, digits and underscores", "1-256 characters"; setMyCommands: "at most 100".
		{"longest command", "setMyCommands", object{"commands": []object{{"command": strings.Repeat("c", 32), "description": strings.Repeat("d", 256)}}}, 200, ""},
		{"command too long", "setMyCommands", object{"commands": []object{{"command": strings.Repeat("c", 33), "description": "d"}}}, 400, "BOT_COMMAND_INVALID"},                      // (mem)
		{"capital command", "setMyCommands", object{"commands": []object{{"command": "Price", "description": "d"}}}, 400, "BOT_COMMAND_INVALID"},                                       // (mem)
		{"no description", "setMyCommands", object{"commands": []object{{"command": "price", "description": ""}}}, 400, "BOT_COMMAND_DESCRIPTION_INVALID"},                             // (mem)
		{"description too long", "setMyCommands", object{"commands": []object{{"command": "price", "description": strings.Repeat("d", 257)}}}, 400, "BOT_COMMAND_DESCRIPTION_INVALID"}, // (mem)
		{"too many commands", "setMyCommands", object{"commands": many(101)}, 400, "stand-in: at most 100 commands"},
		// setWebhook: "1-256 characters … A-Z, a-z, 0-9, _ and -", "1-100", HTTPS, ports 443, 80, 88, 8443.
		{"secret with a blank", "setWebhook", object{"url": "https://example.org/", "secret_token": "a b"}, 400, "secret token contains unallowed characters"},
		{"secret too long", "setWebhook", object{"url": "https://example.org/", "secret_token": strings.Repeat("s", 257)}, 400, "secret token is too long"},
		{"too many connections", "setWebhook", object{"url": "https://example.org/", "max_connections": 101}, 400, "max_connections must be between 1 and 100"}, // (own)
		{"no connections", "setWebhook", object{"url": "https://example.org/", "max_connections": 0}, 400, "max_connections must be between 1 and 100"},         // (own)
		{"webhook in the clear", "setWebhook", object{"url": "http://example.org/"}, 400, "bad webhook: An HTTPS URL must be provided for webhook"},
		{"webhook on a port", "setWebhook", object{"url": "https://example.org:8080/"}, 400, "bad webhook: Webhook can be set up only on ports 80, 88, 443 or 8443"},
		{"webhook nowhere", "setWebhook", object{"url": "telegram"}, 400, "bad webhook: invalid URL specified"}, // (own)
		{"longest secret", "setWebhook", object{"url": "https://example.org:8443/", "secret_token": strings.Repeat("s", 256), "max_connections": 100}, 200, ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			w.t = t
			var got reply
			if tt.method == "" {
				got = w.post("sendMessage", "application/x-www-form-urlencoded", "chat_id=101&text=%ff")
			} else {
				got = w.call(tt.method, tt.body)
			}
			want := tt.want
			if tt.code == http.StatusBadRequest {
				want = "Bad Request: " + want
			}
			if tt.code == http.StatusOK {
				if !got.OK {
					t.Errorf("refused: %+v", got)
				}
			} else if got.Code != tt.code || got.Description != want {
				t.Errorf("got  %d %s\nwant %d %s", got.Code, got.Description, tt.code, want)
			}
		})
	}
}

func TestLimitsOfUploads(t *testing.T) {
	w := newWorld(t, standin.Config{})
	w.customer(101, "Mia")
	noise := append(jpegOf(t, 20, 20), make([]byte, 10<<20)...)
	tests := []struct {
		method, part string
		data         []byte
		want         string
	}{
		{"sendPhoto", "photo", []byte("not a picture"), "Bad Request: IMAGE_PROCESS_FAILED"},
		{"sendPhoto", "photo", blank(t, 9998, 2), "Bad Request: PHOTO_INVALID_DIMENSIONS"}, // more than 20 to 1
		{"sendPhoto", "photo", blank(t, 9000, 1001), "Bad Request: PHOTO_INVALID_DIMENSIONS"},
		{"sendPhoto", "photo", noise, fmt.Sprintf("Bad Request: file of size %d bytes is too big for a photo; the maximum size is 10485760 bytes", len(noise))}, // (own)
		{"sendDocument", "document", nil, "Bad Request: file must be non-empty"},
		{"sendDocument", "document", make([]byte, 52<<20), "Request Entity Too Large"},
	}
	for _, tt := range tests {
		if got := w.multipart(tt.method, tt.part, tt.data); got.OK || got.Description != tt.want {
			t.Errorf("%s of %d bytes: %+v, want %q", tt.method, len(tt.data), got, tt.want)
		}
	}
	if got := w.multipart("sendPhoto", "photo", blank(t, 200, 10)); !got.OK {
		t.Errorf("20 to 1 refused: %+v", got)
	}
}

// A tap can be answered once, within 15 seconds (from memory: the platform does
// not say).
func TestAnswerOnceAndSoon(t *testing.T) {
	w := newWorld(t, standin.Config{})
	h := w.listen(nil)
	mia := w.customer(101, "Mia")
	w.quiet() // or else the tap might arrive before it
	w.call("sendMessage", object{"chat_id": 101, "text": "Which?", "reply_markup": button(object{"text": "Go", "callback_data": "g"})})
	tap := func() string {
		t.Helper()
		if err := mia.Tap(0, "Go"); err != nil {
			t.Fatal(err)
		}
		w.quiet()
		all := h.updates()
		return all[len(all)-1].CallbackQuery.ID
	}
	first := tap()
	if w.Unanswered() != 1 {
		t.Errorf("unanswered = %d, want 1", w.Unanswered())
	}
	if r := w.call("answerCallbackQuery", object{"callback_query_id": first, "text": strings.Repeat("t", 200)}); !r.OK || w.Unanswered() != 0 {
		t.Errorf("%+v, unanswered %d", r, w.Unanswered())
	}
	if r := w.call("answerCallbackQuery", object{"callback_query_id": first}); r.OK {
		t.Error("answered twice")
	}
	second, third := tap(), tap()
	w.clock.Advance(15 * time.Second)
	if r := w.call("answerCallbackQuery", object{"callback_query_id": second}); !r.OK {
		t.Errorf("after 15 s: %+v", r)
	}
	w.clock.Advance(time.Second)
	if r := w.call("answerCallbackQuery", object{"callback_query_id": third}); r.OK {
		t.Error("answered after 16 s")
	}
}

// Messages of a private chat can be deleted for 48 hours
// (core.telegram.org/bots/api#deletemessage).
func TestDeleteWithin48Hours(t *testing.T) {
	w := newWorld(t, standin.Config{})
	mia := w.customer(101, "Mia")
	id := mia.Say("first")
	w.clock.Advance(48 * time.Hour)
	if r := w.call("deleteMessage", object{"chat_id": 101, "message_id": id}); !r.OK {
		t.Errorf("%+v", r)
	}
	id = mia.Say("second")
	w.clock.Advance(48*time.Hour + time.Second)
	if r := w.call("deleteMessage", object{"chat_id": 101, "message_id": id}); r.OK {
		t.Error("deleted after 48 hours")
	}
}

// helpers

func (w *world) multipart(method, part string, data []byte) reply {
	w.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	_ = form.WriteField("chat_id", "101")
	f, _ := form.CreateFormFile(part, "file.bin")
	_, _ = f.Write(data)
	_ = form.Close()
	return w.post(method, form.FormDataContentType(), b.String())
}

// upload sends data to customer 101 and returns its file id.
func (w *world) upload(data []byte) string {
	w.t.Helper()
	m, err := w.client.SendPhoto(w.t.Context(), &tg.SendPhotoParams{ChatID: 101, Photo: &models.InputFileUpload{Filename: "a.jpg", Data: bytes.NewReader(data)}})
	if err != nil {
		w.t.Fatal(err)
	}
	return m.Photo[0].FileID
}

// fileOf is the file of a message in the chat of customer 101.
func (w *world) fileOf(message int64) string {
	for _, l := range w.Person(101, "").Chat() {
		if l.ID == message {
			return l.File
		}
	}
	w.t.Fatalf("no message %d", message)
	return ""
}

// blank is an empty picture as PNG, quickly made.
func blank(t *testing.T, w, h int) []byte {
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, w, h))); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func items(n int, id string) (all []object) {
	for range n {
		all = append(all, object{"type": "photo", "media": id})
	}
	return all
}

func many(n int) (all []object) {
	for i := range n {
		all = append(all, object{"command": fmt.Sprintf("c%d", i), "description": "d"})
	}
	return all
}
