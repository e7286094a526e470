package standin

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strings"
)

// method answers one of the platform's methods; its error is a *refusal.
type method func(*Standin, params) (any, error)

// methods are the methods that are played, by their names in small letters.
// Each has a block in interface.txt.
func methods() map[string]method {
	return map[string]method{
		"getme":                  (*Standin).getMe,
		"setwebhook":             (*Standin).setWebhook,
		"deletewebhook":          (*Standin).deleteWebhook,
		"getwebhookinfo":         (*Standin).getWebhookInfo,
		"sendmessage":            (*Standin).sendMessage,
		"sendphoto":              (*Standin).sendPhoto,
		"sendmediagroup":         (*Standin).sendMediaGroup,
		"senddocument":           (*Standin).sendDocument,
		"sendlocation":           (*Standin).sendLocation,
		"sendchataction":         (*Standin).sendChatAction,
		"editmessagetext":        (*Standin).editMessageText,
		"editmessagecaption":     (*Standin).editMessageCaption,
		"editmessagereplymarkup": (*Standin).editMessageReplyMarkup,
		"answercallbackquery":    (*Standin).answerCallbackQuery,
		"deletemessage":          (*Standin).deleteMessage,
		"getfile":                (*Standin).getFile,
		"setmycommands":          (*Standin).setMyCommands,
		"getmycommands":          (*Standin).getMyCommands,
		"deletemycommands":       (*Standin).deleteMyCommands,
	}
}

// described answers carry a sentence beside the result.
type describedAnswer struct {
	result      any
	description string
}

// ServeHTTP answers calls and downloads. A wrong token is 401, a method that is
// not played 404.
func (s *Standin) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if path, ok := strings.CutPrefix(r.URL.Path, "/file/bot"+s.token+"/"); ok {
		s.serveFile(w, r, path)
		return
	}
	rest, ok := strings.CutPrefix(r.URL.Path, "/bot")
	token, name, found := strings.Cut(rest, "/")
	switch {
	case !ok || !found || strings.Contains(name, "/"):
		answer(w, nil, &refusal{Code: http.StatusNotFound, Description: "Not Found"})
	case token != s.token:
		answer(w, nil, &refusal{Code: http.StatusUnauthorized, Description: "Unauthorized"})
	default:
		s.serveCall(w, r, name)
	}
}

// serveCall answers one call, with the faults that were asked for.
func (s *Standin) serveCall(w http.ResponseWriter, r *http.Request, name string) {
	p, err := readParams(r)
	who := Refusal{Method: s.documented(name), Chat: p.integer("chat_id")}
	fault := s.takeFault(who)
	if fault.instead() {
		s.count(who, fault.refusal())
		fault.answer(w)
		return
	}
	var result any
	switch {
	case err != nil:
	case who.Method == "getUpdates":
		result, err = s.getUpdates(r.Context(), p)
	default:
		result, err = s.call(name, p)
	}
	s.count(who, err)
	fault.after(r.Context(), s)
	answer(w, result, err)
}

// documented is a method's name as the documentation spells it, or as it came.
func (s *Standin) documented(name string) string {
	if known, ok := s.described.names[strings.ToLower(name)]; ok {
		return known
	}
	return name
}

// call checks and carries out one call.
func (s *Standin) call(name string, p params) (any, error) {
	name = strings.ToLower(name)
	do, ok := s.methods[name]
	if !ok {
		return nil, &refusal{Code: http.StatusNotFound, Description: "Not Found"}
	}
	if err := p.check(s.described, name); err != nil {
		return nil, err
	}
	if err := s.take(s.documented(name), p.integer("chat_id")); err != nil {
		return nil, err
	}
	return do(s, p)
}

// answer writes a result or a refusal the way the platform does.
func answer(w http.ResponseWriter, result any, err error) {
	status, body := http.StatusOK, wireAnswer{OK: true, Result: result}
	if with, ok := result.(describedAnswer); ok {
		body.Result, body.Description = with.result, with.description
	}
	if err != nil {
		var no *refusal
		if !errors.As(err, &no) {
			no = &refusal{Code: http.StatusInternalServerError, Description: "Internal Server Error: " + err.Error()}
		}
		status, body = no.Code, wireAnswer{Code: no.Code, Description: no.Description}
		if no.RetryAfter > 0 {
			body.Parameters = &wireParameters{RetryAfter: no.RetryAfter}
			w.Header().Set("Retry-After", fmt.Sprint(no.RetryAfter))
		}
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(body) // the client may have gone
}

func (s *Standin) getMe(params) (any, error) {
	return struct {
		wireUser
		CanJoinGroups bool `json:"can_join_groups"`
	}{s.bot, false}, nil
}
