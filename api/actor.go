package api

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"vinetally/analytics/crop"
)

// Who the history names for what comes over HTTP: the header, or defaultActor where it is missing. There are no accounts
// yet, so it is what the client says.
const (
	actorHeader  = "X-Recorded-By"
	defaultActor = "rest"
)

func actorOf(c *gin.Context) (string, error) {
	name := strings.TrimSpace(c.GetHeader(actorHeader))
	switch {
	case name == "":
		return defaultActor, nil
	case !utf8.ValidString(name):
		return "", refuseParameter(actorHeader, "is not UTF-8; send the name in UTF-8")
	case utf8.RuneCountInString(name) > crop.MaxName:
		return "", refuseParameter(actorHeader, "has %d characters; at most %d are kept", utf8.RuneCountInString(name), crop.MaxName)
	case strings.ContainsFunc(name, unicode.IsControl):
		return "", refuseParameter(actorHeader, "has a control character; take it out")
	}
	return name, nil
}
