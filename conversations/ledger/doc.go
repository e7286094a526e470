// Package ledger keeps what one business must not lose, and is the only code
// that knows Redis: documents, moments that fall due, and messages on their way
// out. All three change together in one [Ledger.Commit] or not at all. What the
// bodies mean is not known here.
//
// An event is carried out by [Ledger.Recall] or [Ledger.Load], a decision made
// elsewhere, and [Ledger.CommitOrReload]. The commit names the version of everything that was read, so
// that a decision made on old knowledge is refused, and the event's own name, so
// that it may be repeated after a lost reply and still be applied once.
//
// Due items and messages are claimed under a lease. A claim that is never
// settled, because its process died, comes back when the lease is over.
//
// Nothing here asks for the time: every now is the caller's, in any zone, and
// moments are kept to the millisecond and returned in UTC.
//
// # Keys
//
// Every key carries the business as its hash tag, so that one script may touch
// all of them on a Cluster. The set of keys is fixed.
//
//	dh:{b}:docs       hash  document key -> version|links|body
//	dh:{b}:ver        hash  document key -> version, once more, to be compared without fetching the body
//	dh:{b}:ops        zset  name of an applied event -> when, in ms; forgotten after 48 hours
//	dh:{b}:due        zset  id -> when it may be claimed next, in ms
//	dh:{b}:due:body   hash  id -> at|body, at being the moment it was set for, in ms
//	dh:{b}:out        zset  chat|sequence, all of score 0: the queues of all chats, each in order
//	dh:{b}:out:body   hash  chat|sequence -> attempt|began|once|not after|body
//	dh:{b}:out:chats  zset  chat -> when its first message may be claimed next, in ms
//	dh:{b}:out:pace   number when the messages claimed so far would have left one by one, in ms
//	dh:{b}:aside      zset  kind|key length|reason length|key reason body -> when, in ms; the newest 10000
//	dh:{b}:trouble    hash  name of an event -> how often it failed; forgotten a week after the last failure
//	dh:{b}:counts     hash  what is counted -> how many
//	dh:{b}:seq        number the last version and sequence given out
//
// Versions come from one counter, which also moves on with the clock, and are never
// given twice, also not by a store that has lost what it wrote last: so a document
// that was deleted and made anew, or is of another past, cannot be mistaken for the
// one that was read.
//
// The version in docs is the one that counts. A store of a release that kept no
// ver, one that such a release has written to since, and one without ver, work as
// they are: where ver does not have the version that was read, docs decides. Only
// at the same time as this one such a release must not write, for it would move a
// document and leave the old version in ver.
package ledger
