// Package phenology says how far a plant has come: its milestones, and its growth stages on the BBCH scale for tomato (Feller and
// others 1995, Nachrichtenbl. Deut. Pflanzenschutzd. 47:217–232; BBCH Monograph, 2nd ed., 2001).
//
// A milestone seen at a visit happened since the visit before, so it lies between two days unless somebody noted its own.
package phenology
