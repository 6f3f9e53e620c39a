package api

import (
	"net/http"
	"slices"

	"vinetally/analytics/crop"
)

// kindRoutes lists the routes that every kind of record has.
func (s *server) kindRoutes(kind crop.Kind) []route {
	path := "/v1/" + string(kind)
	one := path + "/{id}"
	name, about := recordComponent(kind)
	body := []form{{mediaJSON, name + "Body"}}
	record := []form{{mediaJSON, name}}
	tag := string(kind)
	a, several := recordNouns(kind)
	describe := func(about string, problems []problemKind, parameters ...string) operation {
		return operation{tag: tag, about: about, parameters: parameters, problems: append(slices.Clone(problems), readingProblems...)}
	}
	answering := func(o operation, bodies []form, answers ...answerForm) operation {
		o.bodies, o.answers = bodies, answers
		return o
	}
	made := answerForm{http.StatusCreated, "The record, made.", []string{"ETag", "Location"}, record}
	kept := answerForm{http.StatusOK, "The record as it stands now.", []string{"ETag"}, record}
	page := answerForm{http.StatusOK, "The records.", nil, []form{{mediaJSON, name + "List"}}}
	preconditions := []string{"id", "If-Match", "If-None-Match", actorHeader}

	return []route{
		{"GET", path, "List " + several, s.list(kind), answering(describe(about+" Sorted by `"+sortedBy(kind)+"`, then by id. "+
			"Pages stay right while records are added or deleted: nothing comes twice or is left out that was there all the while.", nil,
			append(filtersOf(kind), "cursor", "limit")...), nil, page)},
		{"POST", path, "Add " + a, s.create(kind), answering(describe("The id may be made by the client; the same record sent again then changes nothing, "+
			"and other contents under an id that is taken are refused.", bodyProblems, actorHeader), body, made, kept)},
		{"GET", one, "Read " + a, s.one(kind), answering(describe("", []problemKind{noSuchRecord}, "id", "If-None-Match"), nil, kept,
			answerForm{http.StatusNotModified, "The record is still the one that If-None-Match names.", []string{"ETag"}, nil})},
		{"PUT", one, "Make or replace " + a, s.put(kind), answering(describe("The earlier version stays in the history. Contents that the record had before change nothing, "+
			"so that an old request that comes again reverts nothing; a warning then says how to go back on purpose: name the current version in If-Match or base_version.",
			append([]problemKind{preconditionWrong, staleVersion}, bodyProblems...), preconditions...), body, made, kept)},
		{"DELETE", one, "Delete " + a, s.remove(kind), answering(describe("The record stays in its history and can be restored. What others refer to can't be deleted.",
			[]problemKind{noSuchRecord, preconditionWrong, conflicting, crossOrigin, diskFull}, preconditions...), nil,
			answerForm{http.StatusNoContent, "It is deleted.", nil, nil})},
		{"GET", one + "/history", "Every version of " + a, s.history(kind), answering(describe("The oldest first, the current one last: who recorded it, when, and what. "+
			"Deletions are versions too.", []problemKind{noSuchRecord}, "id"), nil, page)},
		{"POST", one + "/restore", "Make an earlier version of " + a + " current again", s.restore(kind), answering(describe("It becomes a new version; the history only grows. "+
			"Deleted records come back this way too. The rules of today hold, so what it refers to must still be there.",
			append([]problemKind{noSuchRecord, preconditionWrong, staleVersion}, bodyProblems...), preconditions...), []form{{mediaJSON, "RestoreBody"}}, made, kept)},
	}
}
