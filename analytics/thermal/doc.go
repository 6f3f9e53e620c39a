// Package thermal counts time by temperature: how much ripening, or how many degree-days, the readings of a place stand for.
//
// A standard day is the ripening that one day at 20 °C does. The clock of a place adds up the rate that a temperature has
// relative to 20 °C, over readings that were looked at first: what a sensor can't have measured is left out by name, gaps are
// filled with the shape of the place's own days, and every answer says how much of it was measured.
//
// Growing (flower to first colour) and colouring (first colour to ripe) answer to temperature differently, so each has a rate
// of its own (see Growing and Colouring). The package knows no plants and no database: it takes numbers and gives numbers.
package thermal
