package api

import (
	"fmt"
	"slices"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// restore makes an earlier version of a record the current one again, as a new version: the history only grows.
func (s *server) restore(kind crop.Kind) handler {
	return func(c *gin.Context) error {
		id, err := pathID(c)
		if err != nil {
			return err
		}
		body, err := s.readBody(c)
		if err != nil {
			return err
		}
		version, inBody, err := decodeRestore(body)
		if err != nil {
			return err
		}
		base, byHeader, err := s.eitherBase(c, kind, id, inBody)
		if err != nil {
			return err
		}
		versions, err := s.store.History(c.Request.Context(), kind, id)
		if err != nil {
			return err
		}
		at := slices.IndexFunc(versions, func(v crop.Stored) bool { return v.Version == version })
		switch {
		case at < 0:
			return refuseRecord([]crop.Fault{{Pointer: "/version", Detail: fmt.Sprintf("is %d, but the record has the versions 1 to %d; name one of them",
				version, versions[len(versions)-1].Version)}})
		case versions[at].Deleted:
			return refuseRecord([]crop.Fault{{Pointer: "/version", Detail: fmt.Sprintf("is %d, which is a deletion; name the version before it, or delete the record with DELETE", version)}})
		}
		if base == nil {
			base = &versions[len(versions)-1].Version
		}
		out, contradictions, err := s.apply(c, crop.Change{Record: versions[at].Record, Base: base}, byHeader)
		if err == nil && out.Superseded { // the contents were there before, as always here, so the store lets an old base pass
			kind := staleVersion
			if byHeader {
				kind = preconditionWrong
			}
			err = refuse(kind, "the record is at version %d by now, not %d; read it again and decide anew", out.Version, *base)
		}
		if err != nil {
			return err
		}
		return answerKept(c, out, contradictions)
	}
}

// decodeRestore reads {"version": n} with an optional base_version.
func decodeRestore(body []byte) (version int64, base *int64, err error) {
	members, err := splitObject(body)
	if err != nil {
		return 0, nil, err
	}
	var faults []crop.Fault
	var wanted *int64
	for _, m := range members {
		switch m.name {
		case "version":
			faults = append(faults, readAside(m, &wanted)...)
		case "base_version":
			faults = append(faults, readAside(m, &base)...)
		default:
			faults = append(faults, crop.Fault{Pointer: pointerTo(m.name), Detail: "is not a field here; its fields are version, base_version"})
		}
	}
	if faults = append(faults, checkBase(base)...); len(faults) == 0 && wanted == nil {
		faults = append(faults, crop.Fault{Pointer: "/version", Detail: "is missing; give the number of the version to go back to, which the history tells"})
	}
	if len(faults) > 0 {
		return 0, nil, refuseRecord(faults)
	}
	return *wanted, base, nil
}
