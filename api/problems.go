package api

import "net/http"

// problemKind is one kind of refusal: a path that names it for good, what it is called and its status.
type problemKind struct {
	path   string
	title  string
	status int
}

// The problems there are. Which of them a refusal is:
//
//	400  the request can't be read: the address's parameters, or a body that isn't JSON
//	404  there is no such record, or no such address
//	409  the record clashes with others, or was made from an older version that the body named
//	412  it was made from an older version that If-Match named
//	422  the body is JSON and says something that can't be kept
//	503  try again in a moment
var (
	malformedJSON     = problemKind{"malformed-json", "The body is not well-formed JSON", http.StatusBadRequest}
	malformedCSV      = problemKind{"malformed-csv", "The body is not well-formed CSV", http.StatusBadRequest}
	unreadableBody    = problemKind{"unreadable-body", "The body did not arrive whole", http.StatusBadRequest}
	invalidParameter  = problemKind{"invalid-parameter", "A parameter of the request is wrong", http.StatusBadRequest}
	crossOrigin       = problemKind{"cross-origin", "Writing from another site is refused", http.StatusForbidden}
	noSuchRecord      = problemKind{"no-such-record", "There is no such record", http.StatusNotFound}
	noSuchAddress     = problemKind{"no-such-address", "There is nothing at this address", http.StatusNotFound}
	methodNotAllowed  = problemKind{"method-not-allowed", "The method is not answered here", http.StatusMethodNotAllowed}
	conflicting       = problemKind{"conflict", "The record clashes with others", http.StatusConflict}
	staleVersion      = problemKind{"stale-version", "The record was changed meanwhile", http.StatusConflict}
	preconditionWrong = problemKind{"precondition-failed", "The record is not the one the request was made for", http.StatusPreconditionFailed}
	bodyTooLarge      = problemKind{"body-too-large", "The body is too large", http.StatusRequestEntityTooLarge}
	notAccepted       = problemKind{"unsupported-media-type", "The body is not sent in a form that is read here", http.StatusUnsupportedMediaType}
	invalidRecord     = problemKind{"invalid-record", "The record can't be kept as it is", http.StatusUnprocessableEntity}
	tooLittleRecorded = problemKind{"too-little-recorded", "Too little was recorded for an answer", http.StatusUnprocessableEntity}
	noFit             = problemKind{"no-fit", "The records don't carry an answer", http.StatusUnprocessableEntity}
	internalError     = problemKind{"internal", "Something went wrong in the server", http.StatusInternalServerError}
	busy              = problemKind{"busy", "The store is busy", http.StatusServiceUnavailable}
	notReady          = problemKind{"not-ready", "The store doesn't answer", http.StatusServiceUnavailable}
)

// problemKinds lists them all, for the served description and the tests.
func problemKinds() []problemKind {
	return []problemKind{malformedJSON, malformedCSV, unreadableBody, invalidParameter, crossOrigin, noSuchRecord, noSuchAddress,
		methodNotAllowed, conflicting, staleVersion, preconditionWrong, bodyTooLarge, notAccepted, invalidRecord,
		tooLittleRecorded, noFit, internalError, busy, notReady}
}

func (k problemKind) uri() string { return "/problems/" + k.path }
