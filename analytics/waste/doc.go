// Package waste says what became of the fruit that wasn't used: lost by cause, culled, left past ripe, and what nobody can account
// for.
//
// Waste is ripe fruit that was dropped, split, dried, rotted or taken by pests or disease, and ripe culls, over all fruit that ripened. Beside it,
// and never summed in, stand fruit taken before it was ripe, unripe fruit left at the end, fruit that is unaccounted for, and ripe
// fruit that hangs too long now.
package waste
