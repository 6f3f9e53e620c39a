// Package report brings the analytics of one season, or of one plant, together: every number of a report, and the answer
// in words. It formats no page; package charts does that.
package report
