package page

import (
	"fmt"

	"example.org/dryhand/bot/standin"
)

// remember keeps what photos just sent were called.
func (p *Page) remember(who *standin.Person, ids []int64, names []named) {
	called := map[int64]string{}
	for i, id := range ids {
		called[id] = names[i].name
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, l := range who.Chat() {
		if name, ok := called[l.ID]; ok {
			p.names[l.File] = name
		}
	}
}

// photos say of every photo people have sent whose it is and what it was called, by its
// id. The desk passes photos on under the id they came with.
func (p *Page) photos(people []*standin.Person) map[string]string {
	p.mu.Lock()
	defer p.mu.Unlock()
	of := map[string]string{}
	for _, who := range people {
		n := 0
		for _, l := range who.Chat() {
			if l.Bot || l.What != "photo" {
				continue
			}
			n++
			of[l.File] = fmt.Sprintf("Photo %d from %s", n, who.Name())
			if name := p.names[l.File]; name != "" {
				of[l.File] += ": " + name
			}
		}
	}
	return of
}

// shows is a photo in words. What is written below it is not said twice.
func (p *Page) shows(l standin.Line, of map[string]string) string {
	if words := of[l.File]; words != "" {
		return words
	}
	if words := p.Pictures[l.FileName]; words != "" {
		return words
	}
	return "Picture from the desk"
}
