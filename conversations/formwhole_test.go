package conversations

import "testing"

// Every question of the form says what it must: how it is put, what its answer is called
// where that is told back, and where somebody is led who does not know. What it rests on
// is asked before it.
func TestEveryQuestionSaysWhatItMust(t *testing.T) {
	for i, q := range form {
		if placeOf(q.id) != i {
			t.Errorf("%s stands twice in the form", q.id)
		}
		if at := placeOf(q.restsOn); q.restsOn != "" && (at < 0 || at > i) {
			t.Errorf("%s rests on %s, which is not asked before it", q.id, q.restsOn)
		}
		if q.id == askCond {
			continue // made for each area, see find
		}
		if q.ask == nil {
			t.Errorf("%s cannot be put", q.id)
		}
		if q.label == "" && (q.told != nil || q.place != nil || q.kept) {
			t.Errorf("the answer to %s is told back, and has no name", q.id)
		}
		if q.unsure == nil && q.id != askBody { // which has an option for that
			t.Errorf("nobody says what becomes of %s for who does not know", q.id)
		}
	}
	if len(form) < 18 {
		t.Errorf("the form has %d questions", len(form))
	}
}
