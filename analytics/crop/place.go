package crop

import (
	"strings"
	"sync"
	"time"
)

// Place is where plants stand: a unit, a bench, a bay, a balcony.
type Place struct {
	ID   ID     `json:"id"`
	Name string `json:"name"`
	// TimeZone is an IANA name; empty means UTC until one is given.
	TimeZone string `json:"time_zone"`
}

// Location returns the place's zone, UTC if none was given or the name is unknown here.
func (p *Place) Location() *time.Location {
	if p == nil || p.TimeZone == "" {
		return time.UTC
	}
	if loc, ok := zones.Load(p.TimeZone); ok {
		return loc.(*time.Location)
	}
	loc, err := time.LoadLocation(p.TimeZone)
	if err != nil {
		return time.UTC
	}
	zones.Store(p.TimeZone, loc)
	return loc
}

// zones keeps the zones already read, since every moment of a bulk import asks for one. There are a few hundred at most.
var zones sync.Map

func (p *Place) check(c *checker) {
	c.name("/name", &p.Name)
	if p.TimeZone == "" {
		return
	}
	if _, err := time.LoadLocation(p.TimeZone); err != nil || ofOneMachine(p.TimeZone) {
		c.fault("/time_zone", "is %s, which is not a zone of the IANA database; write a name such as Europe/Lisbon or UTC", quoted(p.TimeZone))
	}
}

// ofOneMachine tells whether a name that one machine's zone files know is no zone of the IANA database: the machine's own
// zone, and the folders that some systems keep beside the zones (right/ counts leap seconds).
func ofOneMachine(zone string) bool {
	switch zone {
	case "Local", "localtime", "posixrules":
		return true
	}
	return strings.HasPrefix(zone, "posix/") || strings.HasPrefix(zone, "right/")
}
