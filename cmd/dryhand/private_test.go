package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/redis/go-redis/v9"

	"example.org/dryhand/bot/standin"
	"example.org/dryhand/bot/standin/script"
	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/testdata"
)

// nobodys are words by which somebody could be known, and secrets, from the story and
// what breakDown adds.
func nobodys() []string {
	return []string{"Zuleika", "Balthazar", "7001", "7002", "7003", enquiryOf(zuleika), enquiryOf(balthazar), "Volvo", "Fiesta", "Is it white",
		playedToken, "played", playedSecret, "WC1A", "file-", "Chapel", "bungalow"}
}

// A whole job with everything logged that can be, and things going wrong on the way:
// no line says who anybody is, what they wrote, or a secret.
func TestTheLogNamesNobody(t *testing.T) {
	log := &shared{}
	w := storyWith(t, storyBegins+storyHeld+storyAsked+storyBooked+storyDone, logger(streams{err: log}, slog.LevelDebug, playedToken, playedSecret), func(*world) {})
	breakDown(t, w)
	text := log.String()
	if n := strings.Count(text, "\n"); n < 60 {
		t.Fatalf("only %d lines: nothing was logged that could say anything\n%s", n, text)
	}
	for _, must := range []string{"update taken", "message sent", "moment came", "update not understood", "event failed", "platform cannot be used", "sending interrupted", "chat cannot be reached"} {
		if !strings.Contains(text, must) {
			t.Errorf("nothing was logged of %q: that is not looked at here", must)
		}
	}
	away := &shared{}
	storyWith(t, storyBegins+storyAway+storyDone, logger(streams{err: away}, slog.LevelDebug, playedToken, playedSecret), func(*world) {})
	for line := range strings.Lines(text + away.String()) {
		for key, value := range logged(t, line) {
			for _, word := range nobodys() {
				if says(value, word) {
					t.Errorf("%q stands under %q in %s", word, key, line)
				}
			}
		}
	}
}

// logged is what a line of a log says, by its names, without the time at which that was:
// its nanoseconds may look like anybody's number, and so may the port of a server of the
// test's own.
func logged(t *testing.T, line string) map[string]any {
	t.Helper()
	var said map[string]any
	d := json.NewDecoder(strings.NewReader(line))
	d.UseNumber()
	if err := d.Decode(&said); err != nil {
		t.Fatalf("%q: %v", line, err)
	}
	delete(said, slog.TimeKey)
	for key, value := range said {
		if text, ok := value.(string); ok {
			said[key] = ownPort.ReplaceAllString(text, "127.0.0.1")
		}
	}
	return said
}

var ownPort = regexp.MustCompile(`127\.0\.0\.1:\d+`)

// says tells whether a word stands in a value of a log. A number is a word as a whole
// only: how long something took has other people's numbers in its fractions.
func says(value any, word string) bool {
	if n, ok := value.(json.Number); ok {
		return n.String() == word
	}
	return strings.Contains(fmt.Sprint(value), word)
}

// nameLike is a word that names somebody or something rather than saying anything: one
// that begins with a capital, or has digits in it, as postcodes and telephone numbers do.
var nameLike = regexp.MustCompile(`\b(?:\p{Lu}[\p{L}'’-]{3,}|[A-Za-z]*\d[A-Za-z\d]{3,})`)

// saysNothing fails if a log tells who a script's people are, or what they wrote.
func saysNothing(t *testing.T, log, name string) {
	t.Helper()
	text, err := fs.ReadFile(testdata.Files, name)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := script.Parse(name, string(text), time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	words := map[string]bool{playedToken: true, playedSecret: true}
	numbers := map[string]bool{}
	for who, id := range script.People(lines, int64(playedOwner)) {
		if who != script.Owner {
			words[who] = true
		}
		words[strconv.FormatInt(id, 36)+"-"] = true // begins the names of their enquiries
		numbers[strconv.FormatInt(id, 10)] = true
	}
	for _, l := range lines {
		if l.Kind != script.Says && l.Kind != script.Reads {
			continue
		}
		if strings.Contains(l.What, " ") { // else it may be a word of ours: stop, week
			words[l.What] = true
		}
		for _, w := range nameLike.FindAllString(l.What, -1) {
			words[w] = true
		}
	}
	read := 0
	for line := range strings.Lines(log) {
		read++
		for key, value := range logged(t, line) {
			for w := range words {
				if says(value, w) {
					t.Errorf("%q stands under %q in %s", w, key, line)
				}
			}
			_, number := value.(json.Number)
			for _, n := range wholeNumber.FindAllString(fmt.Sprint(value), -1) {
				if numbers[n] && (!number || says(value, n)) {
					t.Errorf("somebody's number stands under %q in %s", key, line)
				}
			}
		}
	}
	if read < 5 {
		t.Errorf("only %d lines were logged", read)
	}
}

var wholeNumber = regexp.MustCompile(`\d+`)

// breakDown makes a world log what it logs when things go wrong.
func breakDown(t *testing.T, w *world) {
	t.Helper()
	ctx := t.Context()
	post := func(body string) {
		r := httptest.NewRequestWithContext(ctx, http.MethodPost, "/telegram", strings.NewReader(body))
		r.Header.Set("X-Telegram-Bot-Api-Secret-Token", playedSecret)
		w.handler.ServeHTTP(httptest.NewRecorder(), r)
	}
	post(`{"update_id":900001,"message":{"from":{"first_name":"Zuleika"},"text":["Volvo"]}}`)
	// A document that cannot be read, then a platform that refuses, hangs up and shuts.
	if err := w.ledger.Restore(ctx, ledger.Record{Kind: "doc", Key: "chat:7003", Version: 1 << 40, Body: []byte(`{"id":7003,"name":["Zuleika"]}`)}); err != nil {
		t.Fatal(err)
	}
	for range 3 {
		post(fmt.Sprintf(`{"update_id":900002,"message":{"message_id":9,"from":{"id":7003,"first_name":"Zuleika"},"chat":{"id":7003,"type":"private"},"date":%d,"text":"Volvo"}}`, w.clock.Now().Unix()))
	}
	balthazar := w.standin.Person(7002, "Balthazar")
	for _, f := range []standin.Fault{{Times: 1, Status: 401}, {Times: 1, DropAfter: true}, {Times: 1, HTML: true}, {Times: 1, Status: 400, Description: "Bad Request: wrong file identifier"}, {Times: 1, Status: 403}} {
		w.standin.Fault("sendMessage", f)
		balthazar.Say("help")
		settle(t, w)
	}
	// A reply of the store that is lost, told as the running sender tells it.
	w.redis.AddHook(lostReply("7001|"))
	w.standin.Person(7001, "Owner").Say("today")
	if err := w.answered(ctx); err != nil {
		t.Fatal(err)
	}
	_, err := w.work(ctx)
	if err == nil {
		t.Fatal("the lost reply was not missed")
	}
	w.log.Warn("sending interrupted", "err", err)
}

// lostReply is a hook that loses the replies to commands in which a word stands.
type lostReply string

func (lostReply) DialHook(next redis.DialHook) redis.DialHook { return next }

func (l lostReply) ProcessHook(next redis.ProcessHook) redis.ProcessHook {
	return func(ctx context.Context, cmd redis.Cmder) error {
		err := next(ctx, cmd)
		for _, arg := range cmd.Args() {
			if s, ok := arg.(string); ok && strings.HasPrefix(s, string(l)) {
				cmd.SetErr(io.EOF)
				return io.EOF
			}
		}
		return err
	}
}

func (lostReply) ProcessPipelineHook(next redis.ProcessPipelineHook) redis.ProcessPipelineHook {
	return next
}
