// Package storage keeps a site's records in a database: SQLite, through gorm's dialect.
//
// A file has one writer at a time and any number of readers (write-ahead log), and a commit is on the disk before Apply
// answers (synchronous=FULL). Bulk writes and season loads go through database/sql on gorm's connections, everything else
// through gorm. Rows are private to the package; what goes in and out are the types of analytics/crop.
//
// Every change of a record keeps the version before it, and every write transaction that changed something adds one to the
// site's change number, so that equal numbers mean equal records.
package storage
