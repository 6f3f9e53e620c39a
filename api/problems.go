package api

import "net/http"

// problemKind is one kind of refusal: a path that names it for good, what it is called, its status, and what it means and
// what to do about it.
type problemKind struct {
	path   string
	title  string
	status int
	about  string
}

// The problems there are. Which of them a refusal is:
//
//	400  the request can't be read: the address's parameters, or a body that isn't JSON
//	404  there is no such record, or no such address
//	409  the record clashes with others, or was made from an older version that the body named
//	412  it was made from an older version that If-Match named
//	421  it is for a name that the server wasn't told to answer to
//	422  the body is JSON and says something that can't be kept
//	503  try again in a moment
//	507  there is no room on the server's disk
var (
	malformedJSON = problemKind{"malformed-json", "The body is not well-formed JSON", http.StatusBadRequest,
		"The body stops being JSON somewhere, or a name stands twice in one object, or text isn't UTF-8. `detail` says at which byte, `errors` at which field. Nothing was stored. Mend the body and send it again."}
	malformedCSV = problemKind{"malformed-csv", "The body is not well-formed CSV", http.StatusBadRequest,
		"The header doesn't name the columns, or a quote isn't closed. `errors` says in which line. Nothing was stored. Mend the file: cells are parted by commas, and a cell that holds a comma, a quote or a line break stands in quotes (RFC 4180)."}
	unreadableBody = problemKind{"unreadable-body", "The body did not arrive whole", http.StatusBadRequest,
		"The connection broke off or the body took too long. Nothing was stored. Send it again; that is safe for records with an id."}
	invalidParameter = problemKind{"invalid-parameter", "A parameter of the request is wrong", http.StatusBadRequest,
		"A parameter of the address or a header is unknown, stands twice, or has a value that can't be read. `errors` names each with the rule. An unescaped & or % in a value does that too."}
	crossOrigin = problemKind{"cross-origin", "Writing from another site is refused", http.StatusForbidden,
		"A page of another site made the browser write here. Write from this server's own pages, or from a program that isn't a browser."}
	noSuchRecord = problemKind{"no-such-record", "There is no such record", http.StatusNotFound,
		"No record of this kind has this id, or it was deleted. If it was deleted, its history is still there at `/history`, and `/restore` brings it back."}
	noSuchAddress = problemKind{"no-such-address", "There is nothing at this address", http.StatusNotFound,
		"The path isn't one of those listed here; look for a slash too many or a kind that is spelled differently."}
	methodNotAllowed = problemKind{"method-not-allowed", "The method is not answered here", http.StatusMethodNotAllowed,
		"The address is there, but not for this method. The header `Allow` lists those it has."}
	conflicting = problemKind{"conflict", "The record clashes with others", http.StatusConflict,
		"A name, label, id or reading's time is taken; or others refer to what was to be deleted; or stored records would become wrong by the edit. `errors` says which. Change this record, or first mend or delete the others."}
	staleVersion = problemKind{"stale-version", "The record was changed meanwhile", http.StatusConflict,
		"base_version names an older version than the current one. Read the record again, repeat your change on it, and send it with the new version."}
	preconditionWrong = problemKind{"precondition-failed", "The record is not the one the request was made for", http.StatusPreconditionFailed,
		"`If-Match` names another version than the current one, or `If-None-Match: *` asked for a new record and there is one. Read it again and repeat the change."}
	misdirected = problemKind{"misdirected-request", "The server does not answer to that name", http.StatusMisdirectedRequest,
		"The address was written with a name that the server was not told to answer to, so that no page of another site can pass itself off as this server's. Nothing was read or stored. Use localhost or the address in numbers, or start the server with `--host` and the name."}
	bodyTooLarge = problemKind{"body-too-large", "The body is too large", http.StatusRequestEntityTooLarge,
		"A record's body may have 1 MiB, one with many records 64 MiB. Nothing was stored. Send less at a time."}
	notAccepted = problemKind{"unsupported-media-type", "The body is not sent in a form that is read here", http.StatusUnsupportedMediaType,
		"The header `Content-Type` is missing or names a form that isn't read here; the header `Accept` of the answer lists those that are. Or the body is compressed, which `Accept-Encoding` of the answer says it must not be. Send JSON as `application/json`, in UTF-8 and uncompressed."}
	invalidRecord = problemKind{"invalid-record", "The record can't be kept as it is", http.StatusUnprocessableEntity,
		"The body is JSON and breaks a rule: an unknown field, a value of the wrong type or out of bounds, a stage that isn't on the scale, a time before sowing or in the future, a reference to what isn't there. `errors` lists every place with the value, the rule and the mend. Nothing was stored."}
	tooLittleRecorded = problemKind{"too-little-recorded", "Too little was recorded for an answer", http.StatusUnprocessableEntity,
		"The analysis needs more visits or fruit; `detail` says how many. Record more and ask again. No address answers so as yet: curves that are refused stand among the others, each with its reason."}
	noFit = problemKind{"no-fit", "The records don't carry an answer", http.StatusUnprocessableEntity,
		"No curve fits the records well enough to be believed; `detail` says which check failed. No address answers so as yet: curves that are refused stand among the others, each with its reason."}
	internalError = problemKind{"internal", "Something went wrong in the server", http.StatusInternalServerError,
		"A fault of the server or its disk. A write may or may not have been stored: send it again with its id, that is safe. `reference` finds the reason in the server's log."}
	busy = problemKind{"busy", "The store is busy", http.StatusServiceUnavailable,
		"Another change took too long. Nothing was stored. Send it again after the seconds that `Retry-After` names."}
	diskFull = problemKind{"disk-full", "The disk is full", http.StatusInsufficientStorage,
		"There is no room for the change on the server's disk. Nothing was stored, and what is stored is whole and can be read. Free some space on that disk and send it again; the server needn't be restarted."}
	notReady = problemKind{"not-ready", "The store doesn't answer", http.StatusServiceUnavailable,
		"The server is up, its database isn't. Try again in a moment; if it stays so, look into the server's log."}
)

// problemKinds lists them all, for the served description and the tests.
func problemKinds() []problemKind {
	return []problemKind{malformedJSON, malformedCSV, unreadableBody, invalidParameter, crossOrigin, noSuchRecord, noSuchAddress,
		methodNotAllowed, conflicting, staleVersion, preconditionWrong, bodyTooLarge, notAccepted, misdirected, invalidRecord,
		tooLittleRecorded, noFit, internalError, busy, diskFull, notReady}
}

func (k problemKind) uri() string { return "/problems/" + k.path }
