// Package crop holds the words of the trade that every other package speaks: season, place, cultivar, ripeness scale,
// plant, visit, picking, loss, diary entry, temperature reading and germination count; the rules a record must keep; and
// the loaded season (Trial) that the analytics are functions of.
//
// It is a leaf: standard library only, no clock, no randomness, no input or output. The JSON names of the record types
// are the field names of the public contract, so one type serves REST bodies, history and tests.
//
// Units are in the names: MassG is grams, AirC degrees Celsius, ECDsM decisiemens per metre. A pointer field is nil when
// the value is not known; zero is a value.
package crop
