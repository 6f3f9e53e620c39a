package api

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// refuseOtherHosts refuses requests for a name that this server wasn't told to answer to. A page of another site could give
// its own name this server's address after it was loaded (DNS rebinding): the browser would then take the records for that
// site's and let its page read and write them. Nobody can do that to an address in numbers, nor to localhost (RFC 6761, 6.3).
// The files that pages load are let through, since a refusal may be a page.
func (s *server) refuseOtherHosts(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if name := hostName(r.Host); !answersTo(name, s.hosts) && !strings.HasPrefix(r.URL.Path, assetBase+"/") {
			s.writeProblem(w, r, refuse(misdirected, "Host is %.100q, a name that this server was not told to answer to; use localhost or the address in numbers, "+
				"or start the server with --host and this name if it is one of your own", name))
			return
		}
		next.ServeHTTP(w, r)
	})
}

// hostName is the host of a Host header without its port, the brackets of IPv6 and the dot of the root.
func hostName(host string) string {
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	host = strings.TrimSuffix(strings.TrimPrefix(host, "["), "]")
	return strings.ToLower(strings.TrimSuffix(host, "."))
}

func answersTo(name string, told []string) bool {
	if name == "" || name == "localhost" || strings.HasSuffix(name, ".localhost") {
		return true // a browser always names a host
	}
	if _, err := netip.ParseAddr(name); err == nil {
		return true
	}
	return slices.ContainsFunc(told, func(own string) bool { return hostName(own) == name })
}
