// Package api serves the records and the analytics over HTTP.
//
// A request passes, from the outside in: request id and access log; security headers; refusal of cross-origin writes;
// gzip; routing; recovery from panics; the handler. A handler decodes strictly, calls the store or one analysis, and
// answers; whatever goes wrong is an error that one table (problems.go) turns into an RFC 9457 problem. The package
// declares the store it needs and knows nothing of databases.
package api
