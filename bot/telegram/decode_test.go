package telegram_test

import (
	"encoding/json"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"

	"example.org/dryhand/bot"
	"example.org/dryhand/bot/telegram"
)

// The shapes below are written after the description of Bot API 10.1
// (core.telegram.org/bots/api, 11 June 2026); the values are our own.
const (
	fromMia   = `"from":{"id":101,"is_bot":false,"first_name":"Mia","last_name":"Ford","username":"mia"}`
	inPrivate = `"chat":{"id":101,"type":"private","first_name":"Mia"}`
	envelope  = `"message_id":5,"date":1763923200,` + fromMia + `,` + inPrivate
)

var (
	at     = time.Date(2025, 11, 23, 18, 40, 0, 0, time.UTC)
	person = bot.Person{ID: 101, Name: "Mia"}
)

func event(what any) bot.Event {
	return bot.Event{Op: "u7", Chat: 101, From: person, At: at, What: what}
}

func TestDecode(t *testing.T) {
	message := func(content string) string { return `{"update_id":7,"message":{` + envelope + `,` + content + `}}` }
	edited := func(content string) string {
		return `{"update_id":7,"edited_message":{` + envelope + `,"edit_date":1763923260,` + content + `}}`
	}
	later := func(what any) bot.Event {
		e := event(what)
		e.At = at.Add(time.Minute)
		return e
	}
	tapped := func(message bot.MessageID) bot.Event {
		e := event(bot.Tap{ID: "42", Data: "q1:yes", Message: message})
		e.At = time.Time{}
		return e
	}
	tap := func(message string) string {
		return `{"update_id":7,"callback_query":{"id":"42",` + fromMia + `,"chat_instance":"9","data":"q1:yes"` + message + `}}`
	}
	member := func(status string) string {
		return `{"update_id":7,"my_chat_member":{"date":1763923200,` + fromMia + `,` + inPrivate +
			`,"old_chat_member":{"status":"member","user":{"id":9}},"new_chat_member":{"status":"` + status + `","user":{"id":9},"until_date":0}}}`
	}
	sentOn := func(origin string) string { return `"forward_origin":{"date":1763923100,` + origin + `},` }
	const sizes = `"photo":[{"file_id":"x","file_unique_id":"ux","width":800,"height":600,"file_size":70000},
		{"file_id":"y","file_unique_id":"uy","width":1280,"height":960,"file_size":150000},
		{"file_id":"m","file_unique_id":"um","width":320,"height":240,"file_size":20000}]`
	photo := bot.Photo{File: "y", Unique: "uy", Width: 1280, Height: 960, Size: 150000, Message: 5}
	with := func(change func(*bot.Photo)) bot.Photo {
		p := photo
		change(&p)
		return p
	}
	file := func(name, mime string) string {
		return `"document":{"file_id":"d","file_unique_id":"ud","file_size":9,"file_name":"` + name + `","mime_type":"` + mime + `"}`
	}
	asFile := func(mime string) bot.Photo {
		return bot.Photo{File: "d", Unique: "ud", Size: 9, AsFile: true, MIME: mime, Message: 5}
	}
	noFrom := strings.Replace(message(`"text":"Hi"`), fromMia+",", "", 1)
	for _, c := range []struct {
		name, raw string
		want      bot.Event
	}{
		{"text", message(`"text":"Hi","entities":[{"type":"bold","offset":0,"length":100}]`), event(bot.Text{Body: "Hi", Message: 5})},
		{"text of nobody", noFrom, bot.Event{Op: "u7", Chat: 101, From: bot.Person{ID: 101}, At: at, What: bot.Text{Body: "Hi", Message: 5}}},
		{"forwarded", message(sentOn(`"type":"user","sender_user":{"id":55,"is_bot":false,"first_name":"Sarah\n","last_name":"Lane"}`) + `"text":"Hi"`),
			event(bot.Text{Body: "Hi", Message: 5, Forward: &bot.Forward{Name: "Sarah"}})},
		{"forwarded, the account hidden", message(sentOn(`"type":"hidden_user","sender_user_name":"Sarah Lane"`) + sizes),
			event(with(func(p *bot.Photo) { p.Forward = &bot.Forward{Name: "Sarah Lane"} }))},
		{"forwarded from a group", message(sentOn(`"type":"chat","sender_chat":{"id":-5,"type":"supergroup","title":"The Lanes"}`) + `"text":"Hi"`),
			event(bot.Text{Body: "Hi", Message: 5, Forward: &bot.Forward{Name: "The Lanes"}})},
		{"forwarded from a channel", message(sentOn(`"type":"channel","message_id":3,"chat":{"id":-6,"type":"channel","title":"Cars"}`) + `"text":"Hi"`),
			event(bot.Text{Body: "Hi", Message: 5, Forward: &bot.Forward{Name: "Cars"}})},
		{"forwarded from a bot", message(sentOn(`"type":"user","sender_user":{"id":9,"is_bot":true,"first_name":"Desk"}`) + `"text":"Hi"`),
			event(bot.Text{Body: "Hi", Message: 5, Forward: &bot.Forward{}})},
		{"forwarded in a way not known yet", message(sentOn(`"type":"dream"`) + `"text":"Hi"`), event(bot.Text{Body: "Hi", Message: 5, Forward: &bot.Forward{}})},
		{"forwarded own words", message(sentOn(`"type":"user","sender_user":{"id":101,"is_bot":false,"first_name":"Mia"}`) + `"text":"Hi"`), event(bot.Text{Body: "Hi", Message: 5})},
		{"edited text", edited(`"text":"Hi"`), later(bot.Text{Body: "Hi", Message: 5, Edited: true})},
		{"edited without a date", strings.Replace(edited(`"text":"Hi"`), `"edit_date":1763923260,`, "", 1), event(bot.Text{Body: "Hi", Message: 5, Edited: true})},
		{"edited caption", edited(`"caption":"scratch",` + sizes), later(bot.Text{Body: "scratch", Message: 5, Edited: true})},
		{"photo, largest by area", message(sizes), event(photo)},
		{"photo with caption", message(`"caption":"scratch",` + sizes), event(with(func(p *bot.Photo) { p.Caption = "scratch" }))},
		{"photo of an album", message(`"media_group_id":"a1",` + sizes), event(with(func(p *bot.Photo) { p.Album = "a1" }))},
		{"photo with forged sides", message(`"photo":[{"file_id":"a","width":4611686018427387904,"height":4},{"file_id":"b","width":2,"height":2}]`),
			event(bot.Photo{File: "a", Width: 4611686018427387904, Height: 4, Message: 5})},
		{"picture as a file", message(file("car.jpg", "image/jpeg")), event(asFile("image/jpeg"))},
		{"HEIC by its name", message(file("IMG_1.HEIC", "application/octet-stream")), event(asFile("application/octet-stream"))},
		{"picture by its type", message(file("", "image/heif")), event(asFile("image/heif"))},
		{"another file", message(file("list.pdf", "application/pdf")), event(bot.Other{Kind: "document"})},
		{"place", message(`"location":{"latitude":51.5,"longitude":-0.1}`), event(bot.Place{Lat: 51.5, Lon: -0.1})},
		{"venue", message(`"venue":{"title":"Yard","address":"Mill Lane"},"location":{"latitude":51.5,"longitude":-0.1}`), event(bot.Place{Lat: 51.5, Lon: -0.1})},
		{"sticker", message(`"sticker":{}`), event(bot.Other{Kind: "sticker"})},
		{"voice", message(`"voice":{}`), event(bot.Other{Kind: "voice"})},
		{"video", message(`"video":{}`), event(bot.Other{Kind: "video"})},
		{"round video", message(`"video_note":{}`), event(bot.Other{Kind: "video_note"})},
		{"contact", message(`"contact":{}`), event(bot.Other{Kind: "contact"})},
		{"animation, which is a document too", message(`"animation":{},` + file("a.mp4", "video/mp4")), event(bot.Other{Kind: "animation"})},
		{"tap", tap(`,"message":{` + envelope + `,"text":"Yes or no?"}`), tapped(5)},
		{"tap on a message that is gone", tap(`,"message":{"message_id":5,"date":0,` + inPrivate + `}`), tapped(5)},
		{"tap without a message", tap(``), tapped(0)},
		{"blocked", member("kicked"), event(bot.Membership{Blocked: true})},
		{"let in again", member("member"), event(bot.Membership{})},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, ours, err := telegram.Decode([]byte(c.raw))
			if err != nil || !ours {
				t.Fatalf("ours %v, error %v", ours, err)
			}
			if diff := cmp.Diff(c.want, got); diff != "" {
				t.Errorf("event (-want +got):\n%s", diff)
			}
		})
	}
}

func TestNoneOfOurBusiness(t *testing.T) {
	group := `"chat":{"id":-5,"type":"group","title":"Family"}`
	for _, c := range []struct{ name, raw string }{
		{"nothing", `{"update_id":7}`},
		{"a kind of tomorrow", `{"update_id":7,"guest_message":{"text":"Hi"}}`},
		{"group", `{"update_id":7,"message":{"message_id":5,"date":1,` + fromMia + `,` + group + `,"text":"Hi"}}`},
		{"channel", `{"update_id":7,"channel_post":{"message_id":5,"chat":{"id":-6,"type":"channel"},"text":"Hi"}}`},
		{"added to a group", `{"update_id":7,"my_chat_member":{` + fromMia + `,` + group + `,"new_chat_member":{"status":"member"}}}`},
		{"tap in a group", `{"update_id":7,"callback_query":{"id":"42",` + fromMia + `,"message":{"message_id":5,"date":1,` + group + `}}}`},
		{"tap of nobody", `{"update_id":7,"callback_query":{"id":"42"}}`},
		{"no chat", `{"update_id":7,"message":{"text":"Hi"}}`},
		{"something was pinned", `{"update_id":7,"message":{` + envelope + `,"pinned_message":{"message_id":3,"date":0,` + inPrivate + `}}}`},
		{"messages delete themselves", `{"update_id":7,"message":{` + envelope + `,"message_auto_delete_timer_changed":{"message_auto_delete_time":86400}}}`},
		{"a live location moves", `{"update_id":7,"edited_message":{` + envelope + `,"location":{"latitude":51.5,"longitude":-0.1,"live_period":900}}}`},
		{"a caption is taken away", `{"update_id":7,"edited_message":{` + envelope + `,"photo":[{"file_id":"x"}]}}`},
		{"neither blocked nor let in", `{"update_id":7,"my_chat_member":{` + inPrivate + `,"new_chat_member":{"status":"restricted"}}}`},
	} {
		if e, ours, err := telegram.Decode([]byte(c.raw)); ours || err != nil || e.Op != "u7" {
			t.Errorf("%s: ours %v, op %q, error %v; want u7, neither", c.name, ours, e.Op, err)
		}
	}
}

func TestNames(t *testing.T) {
	for _, c := range []struct{ first, want string }{
		{"Mia", "Mia"},
		{" Mia  Jo\n", "Mia Jo"},
		{"Mia\u0000\u001b[31m", "Mia [31m"},
		{"\u202eaiM\u2066", "aiM"},
		{"👩‍🔧 Zoë", "👩‍🔧 Zoë"},
		{"<b>&\"", "<b>&\""},
		{strings.Repeat("é", 100), strings.Repeat("é", 64)},
		{strings.Repeat("a", 63) + " b", strings.Repeat("a", 63)},
		{"\u200f", ""},
	} {
		first, err := json.Marshal(c.first)
		if err != nil {
			t.Fatal(err)
		}
		raw := `{"update_id":7,"message":{"message_id":5,"date":1,"from":{"id":101,"first_name":` + string(first) + `},` + inPrivate + `,"text":"Hi"}}`
		e, _, err := telegram.Decode([]byte(raw))
		if err != nil || e.From.Name != c.want {
			t.Errorf("%q is called %q (%v), want %q", c.first, e.From.Name, err, c.want)
		}
	}
}

// The language of a client is a tag (RFC 5646), or counts as not told.
func TestLanguages(t *testing.T) {
	for told, want := range map[string]string{
		"en": "en", "pt-BR": "pt-BR", "zh-Hant-TW": "zh-Hant-TW", "sl-rozaj-biske-1994": "sl-rozaj-biske-1994", "": "",
		"e n": "", "-": "", "en-": "", "überall": "", "en\n": "", strings.Repeat("abcdefgh-", 4): "", "abcdefghi": "",
	} {
		quoted, err := json.Marshal(told)
		if err != nil {
			t.Fatal(err)
		}
		raw := `{"update_id":7,"callback_query":{"id":"42","from":{"id":101,"first_name":"Mia","language_code":` + string(quoted) + `},"chat_instance":"9","data":"q1:yes"}}`
		e, _, err := telegram.Decode([]byte(raw))
		if err != nil || e.From.Language != want {
			t.Errorf("%q is %q (%v), want %q", told, e.From.Language, err, want)
		}
	}
}

// The platform may leave out whatever its description calls optional, and more.
func TestDecodeWithAnyFieldLeftOut(t *testing.T) {
	dropped := 0
	for _, raw := range []string{
		`{"update_id":7,"message":{` + envelope + `,"text":"Hi"}}`,
		`{"update_id":7,"message":{` + envelope + `,"media_group_id":"a","caption":"c","photo":[{"file_id":"x","file_unique_id":"u","width":1,"height":1}]}}`,
		`{"update_id":7,"message":{` + envelope + `,"document":{"file_id":"d","file_unique_id":"u","file_name":"a.jpg","mime_type":"image/jpeg"}}}`,
		`{"update_id":7,"message":{` + envelope + `,"location":{"latitude":1,"longitude":2}}}`,
		`{"update_id":7,"edited_message":{` + envelope + `,"edit_date":1763923260,"text":"Hi"}}`,
		`{"update_id":7,"callback_query":{"id":"42",` + fromMia + `,"data":"x","message":{` + envelope + `}}}`,
		`{"update_id":7,"my_chat_member":{"date":1763923200,` + fromMia + `,` + inPrivate + `,"new_chat_member":{"status":"kicked"}}}`,
	} {
		var whole any
		if err := json.Unmarshal([]byte(raw), &whole); err != nil {
			t.Fatal(err)
		}
		eachWithout(whole, func() {
			dropped++
			short, err := json.Marshal(whole)
			if err != nil {
				t.Fatal(err)
			}
			if e, ours, err := telegram.Decode(short); ours && (err != nil || e.Chat == 0 || e.From.ID == 0 || e.What == nil) {
				t.Errorf("%s: ours, but %+v, %v", short, e, err)
			}
		})
	}
	if dropped < 80 {
		t.Errorf("only %d fields were left out", dropped)
	}
}

// eachWithout calls do with each field below v left out in turn.
func eachWithout(v any, do func()) {
	switch v := v.(type) {
	case map[string]any:
		for key, value := range v {
			eachWithout(value, do)
			delete(v, key)
			do()
			v[key] = value
		}
	case []any:
		for _, value := range v {
			eachWithout(value, do)
		}
	}
}

// Whatever comes does not panic, and what is ours can be handled.
func FuzzDecode(f *testing.F) {
	for _, kind := range []string{"message", "edited_message", "channel_post", "callback_query", "my_chat_member", "business_message", "poll"} {
		f.Add([]byte(`{"update_id":7,"` + kind + `":{` + envelope + `,"id":"42","data":"x","text":"Hi","new_chat_member":{"status":"kicked"}}}`))
		f.Add([]byte(`{"update_id":7,"` + kind + `":{}}`))
		f.Add([]byte(`{"update_id":7,"` + kind + `":null}`))
	}
	for _, content := range []string{`"photo":[]`, `"photo":[{}]`, `"document":{}`, `"location":{}`, `"sticker":null`, `"caption":"x"`} {
		f.Add([]byte(`{"update_id":7,"message":{` + envelope + `,` + content + `}}`))
	}
	f.Add([]byte(`{"update_id":7,"callback_query":{"id":"42",` + fromMia + `,"message":{"message_id":5,"date":0,` + inPrivate + `}}}`))
	f.Fuzz(func(t *testing.T, raw []byte) {
		e, ours, err := telegram.Decode(raw)
		if err != nil && ours {
			t.Fatal("ours, and not understood")
		}
		if !ours {
			return
		}
		if e.Chat == 0 || e.What == nil || !strings.HasPrefix(e.Op, "u") {
			t.Errorf("ours, but %+v", e)
		}
		if n := utf8.RuneCountInString(e.From.Name); n > 64 || strings.ContainsAny(e.From.Name, "\n\r\x00") {
			t.Errorf("name %q of %d characters", e.From.Name, n)
		}
		if _, err := json.Marshal(e); err != nil {
			t.Errorf("cannot be kept: %v", err)
		}
	})
}
