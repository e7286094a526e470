package standin

import (
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
)

// command is one entry of the menu (core.telegram.org/bots/api#botcommand).
type command struct {
	Command     string `json:"command"`
	Description string `json:"description"`
}

var commandName = regexp.MustCompile(`^[a-z0-9_]{1,32}$`)

// scopeKey names a scope and language: "default", "chat 101", with " de" behind.
func scopeKey(p params) (string, error) {
	var scope struct {
		Type string          `json:"type"`
		Chat json.RawMessage `json:"chat_id"`
	}
	if _, err := p.object("scope", &scope); err != nil {
		return "", err
	}
	key := scope.Type
	if key == "" {
		key = "default"
	}
	if len(scope.Chat) > 0 {
		key += " " + strings.Trim(string(scope.Chat), `"`)
	}
	return strings.TrimSpace(key + " " + p.text["language_code"]), nil
}

func (s *Standin) setMyCommands(p params) (any, error) {
	key, err := scopeKey(p)
	if err != nil {
		return nil, err
	}
	var list []command
	if _, err := p.object("commands", &list); err != nil {
		return nil, err
	}
	if len(list) > 100 {
		return nil, badRequest("stand-in: at most 100 commands")
	}
	for i, c := range list {
		list[i].Command = strings.TrimPrefix(c.Command, "/")
		if !commandName.MatchString(list[i].Command) {
			return nil, badRequest("BOT_COMMAND_INVALID")
		}
		if n := units(c.Description); n < 1 || n > 256 {
			return nil, badRequest("BOT_COMMAND_DESCRIPTION_INVALID")
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.commands[key] = list
	return true, nil
}

func (s *Standin) getMyCommands(p params) (any, error) {
	key, err := scopeKey(p)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return append([]command{}, s.commands[key]...), nil
}

func (s *Standin) deleteMyCommands(p params) (any, error) {
	key, err := scopeKey(p)
	if err != nil {
		return nil, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.commands, key)
	return true, nil
}

// Commands returns the person's menu as "/name description" lines: the
// narrowest scope that was set (core.telegram.org/bots/api#determining-list-of-commands).
func (p *Person) Commands() (menu []string) {
	p.s.mu.Lock()
	defer p.s.mu.Unlock()
	for _, key := range []string{"chat " + strconv.FormatInt(p.id, 10), "all_private_chats", "default"} {
		if list := p.s.commands[key]; len(list) > 0 {
			for _, c := range list {
				menu = append(menu, "/"+c.Command+" "+c.Description)
			}
			return menu
		}
	}
	return nil
}
