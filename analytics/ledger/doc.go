// Package ledger accounts for every fruit of a plant: what stands, what ever reached each stage, what was picked, what
// was lost, and what is missing without either; and it names the records that contradict each other.
//
// # The balance
//
// With s a stage of the scale and "at or beyond s" meaning s or a riper one, the ledger keeps at each count
//
//	standing at or beyond s      C[s]   from the count
//	removed at or beyond s       R[s]   picked or lost before the count, since the beginning
//	ever reached s               E[s] = C[s] + R[s]
//
// All are numbers of fruit. E[s] is known when C[s] is and no removal of unknown number has touched s; otherwise it is nil
// and only a lower bound is given. What a count leaves open stays open: nil is "not known", never a guess.
//
// # Bounds
//
// A count of some stages, a total without colours, a count given up and a part of the trusses each leave some numbers between a lower and
// an upper bound, or without an upper one. The lower bound takes fruit of a unit for none of this plant's, the upper one for all of
// it:
//
//	E[s] ≤ min over t ≤ s: C[t] at most + removed at or beyond t + taken from the unit at or beyond t
//
// The bounds of one count are as narrow as its rows allow (a test goes through every way in which fruit can have stood). Across counts the
// lower one goes on from what was sure before; the upper one doesn't look ahead.
//
// # Order at one time
//
// A loss found at a visit (dropped, split, dried, rotted, pest, disease, other) came before its count; the grower's own
// acts (picked, thinned, cleared) came after it; a record marked as before the count came before it.
//
// # Unaccounted
//
// Fruit never goes back a stage, so E[t] can only fall if fruit went without a record. With a(t) the last earlier count at
// which C[t] was known, or one after it that left C[t] open and was sure of more, the fall of t is E[t] at a(t), at least,
// less E[t] now. The cumulative number unaccounted at or beyond s, W[s],
// is the least that explains every fall:
//
//	W[s] now = max( W[s] before, over t ≥ s: W[s] at a(t) + fall of t )
//
// and what a visit adds is the difference. Nothing is written off twice: a fall of red seen when only red was counted
// explains the same fall of the whole when all stages are counted again, and a fall of the total explains the fall of red
// that a later count by stages finds; and nothing is named twice: a count has one contradiction of this kind, called after
// the count that it is measured from. Where every count is of the whole plant the added number is the largest fall over
// t ≥ s. With perfect counts W[s] is never more than what truly vanished.
//
// # Miscounts
//
// Counts aren't perfect, so a fall is named but only held against the records when chance doesn't explain it: when it is
// larger than two careful counts may differ by (Allowance), or when the counts around it bear it out (see lasting). The
// second needs a later count, so a fall within its allowance may come to be beyond it as counts come in, or, once the
// fruit is seen again, to be within it. Each stage is judged for itself, and the fall furthest beyond is the one named.
//
// # When records contradict each other
//
// Nothing is refused and no record is changed; the numbers say what can still be relied on. What stands after more was
// taken than a count had is worked out by stage (see left), so that one stage's picking doesn't clear the others. Totals
// that are called "at least" hold if any one count is wrong that a later one contradicts (see bound), or any one picking of
// more than can have stood; Balance is the account with every record taken at its word.
package ledger
