package crop

import "testing"

func TestErrorTellsTenFaults(t *testing.T) {
	faults := func(n int) []Fault {
		all := make([]Fault, n)
		for i := range all {
			all[i] = Fault{Pointer: "/f", Detail: "x"}
		}
		return all
	}
	for _, c := range []struct {
		name string
		n    int
		want string
	}{
		{"none", 0, "refused"},
		{"one", 1, "refused; /f: x"},
		{"ten", 10, "refused; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x"},
		{"twelve", 12, "refused; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; /f: x; and 2 more"},
	} {
		if got := (&Error{Code: Invalid, Message: "refused", Faults: faults(c.n)}).Error(); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}
