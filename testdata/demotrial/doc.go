// Package demotrial makes the records of an invented trial of compact
// tomatoes: two seasons of one household, in the service's own CSV files.
//
// Nothing in it was ever grown, counted or weighed. The people, the cultivars
// and the numbers are made up; only the ranges are those of the trade (fruit
// per plant, grams per fruit, days from flower to ripe fruit, days between
// pickings), so that what the service shows looks like a real season.
//
// The fruit is simulated one by one, in the world of
// vinetally/analytics/simulate: from the moment when it set, how long it is green,
// breaker and turning, how that shrinks and stretches with the temperature of its
// place, and when it falls if nobody picks it. Each cultivar has mean times, a
// family of distributions and responses to temperature of its own, written down in
// the scenario. It is made on other assumptions than the model of ripening that the
// service fits. What is the household's story is told here: the places and
// their air (a year, lamps and a sky, which the simulator's weather doesn't know),
// when plants flower and how much they bear, what a fruit weighs, what goes before
// its time, and a grower with habits, who walks round every three days or so,
// counts, picks, notes what was lost and makes a few honest mistakes. What truly
// happened is kept beside what was written down (see [Trial]).
//
// Apart from that simulator the package imports none of the service's own code:
// its truth must not depend on the calculations that are tested with it.
//
// # Same bytes every time
//
// All chance comes from PCG streams of math/rand/v2 with a fixed seed, and
// only their Uint64 is used, by the simulator as Float64, which is 53 of its bits.
// PCG is a published generator (O'Neill 2014,
// "PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms
// for Random Number Generation"), and the Go project keeps the output of a
// seeded source the same from release to release. Each decision has a stream
// of its own, named by what it decides, so that a change to one plant leaves
// the others as they were. Numbers are rounded before they are written; on a
// processor where the compiler fuses multiplications and additions, the last of
// their sixteen digits may differ, and the test below would say if that ever
// reached a file.
//
//	go run ./testdata/demotrial/generate -o testdata/demo
//
// writes the files again; a test asserts that they are the committed ones. The
// files were made on amd64.
package demotrial
