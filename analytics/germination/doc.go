// Package germination says how a lot of seed came up: the share, how soon, how evenly, and how many seeds a spot wants.
//
// The indices are those of the seed-testing literature (Ranal and Santana 2006, Braz. J. Bot. 29:1–11, collects them). A count of
// emerged seedlings tells only that they came up since the count before; the indices take the day of the count, as usual,
// and a lot's answer says between which days the truth lies.
package germination
