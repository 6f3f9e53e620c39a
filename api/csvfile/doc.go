// Package csvfile reads and writes the CSV files that carry a site's records: seasons, places, scales, cultivars, plants,
// moves, counts, pickings, losses, temperatures, diary and germination.
//
// # Form
//
// RFC 4180, UTF-8 with or without a byte order mark, lines ended by CRLF or LF, a header line, columns in any order. Names
// of columns may have any case and surrounding space. Semicolons or tabs in the header instead of commas are noticed and
// then separate the cells of that file. Blank lines, and lines whose cells are all empty, are passed over.
//
// # Cells
//
// An empty cell says that the value is not given; it is never zero. A column that the file doesn't have says nothing: a
// stored record keeps its value there. Numbers have a decimal point and no thousands separators, dates are YYYY-MM-DD.
// A time is RFC 3339, with or without seconds, with T or a space. Without an offset it is read by the clock of the place
// where the plant stood on that day; a time that a clock change skips is refused, and one that happens twice is its first
// happening (still summer time). A date alone stays a date alone. A diary entry of no plant takes the zone that all plants
// of its season share.
//
// Free text that a spreadsheet could run as a formula (it begins with = + - @, a tab or a line break) is exported with an
// apostrophe before it, and so is text of apostrophes followed by one of these; import takes that one apostrophe away
// again. Numbers, dates and fixed words are never touched.
//
// # Which record a row is of
//
// A row with an id is of the record with that id. One without is of the record with the same key:
//
//	plants        season+plant
//	counts        season+plant+counted_at, and truss where rows are of single trusses
//	pickings      season+plant+picked_at+stage+grade (place+cultivar where no plant is named)
//	losses        season+plant+lost_at+stage+cause (place+cultivar where no plant is named)
//	temperatures  place+measured_at
//	diary         season+plant+noted_at+kind+note
//	germination   season+cultivar+lot+counted_on
//	moves         season+plant+moved_on; the id column is the plant's
//	scales        scale+stage; the id column is the scale's, and the rows of a scale are the whole scale
//	the others    their name
//
// A row that agrees with the stored record changes nothing; one that differs is refused unless replacing was asked for. Rows
// that repeat an earlier row of the import are refused, however far apart they stand.
//
// # Memory
//
// Seasons, places, scales, cultivars, plants and moves are held until the end, of the stored plants those of the seasons that
// rows are of. The rows of all other files are stored as they are read, a chunk at a time.
package csvfile
