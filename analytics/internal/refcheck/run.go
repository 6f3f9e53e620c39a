package refcheck

import (
	"fmt"
	"maps"
	"slices"
	"testing"
)

// Handler computes what a file asks for; several answers if several ways must lead to the same.
type Handler func(File) ([]Answer, error)

// Run checks every reference file whose method the package owns, one subtest a file, named by its id. It logs the digits
// of agreement of each file and, at the end, one line with how many files were checked here, how many belong to other
// packages, and how many belong to methods that the product hasn't got; those are listed, not run.
//
// pkg is the path of the calling package inside the module. The handlers must be those of the methods that methods.go
// gives to it, no more and no fewer.
func Run(t *testing.T, pkg string, handlers map[string]Handler) {
	t.Helper()
	for _, fault := range mismatches(owners, pkg, handlers) {
		t.Error(fault)
	}
	path, own, err := folder()
	if err != nil {
		t.Fatal(err)
	}
	files, err := Load(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		handler, mine := handlers[f.Method]
		if !mine {
			continue
		}
		t.Run(f.ID, func(t *testing.T) {
			lines, failures := check(f, handler)
			for _, l := range lines {
				t.Log(l)
			}
			for _, f := range failures {
				t.Error(f)
			}
		})
	}
	if own {
		for _, m := range unseen(files, handlers) {
			t.Errorf("%s has no file for the method %q of this package", path, m)
		}
	}
	list, summary := summarise(files, owners, pkg)
	for _, l := range list {
		t.Log(l)
	}
	t.Log(summary)
}

// check runs a handler on a file and returns lines to log and failures.
func check(f File, h Handler) (lines, failures []string) {
	answers, err := h(f)
	if err != nil {
		return nil, []string{fmt.Sprintf("%s: %v", f.ID, err)}
	}
	if len(answers) == 0 {
		return nil, []string{f.ID + ": the handler gave no answer"}
	}
	for _, a := range answers {
		name := f.ID
		if a.Label != "" {
			name += " " + a.Label
		}
		o := compare(f, a)
		for _, failure := range o.failures {
			failures = append(failures, name+": "+failure)
		}
		line := fmt.Sprintf("%s: %d quantities", name, o.quantities)
		if o.worst != "" {
			line += fmt.Sprintf(", at least %.1f digits (%s)", o.digits, o.worst)
		}
		for _, at := range slices.Sorted(maps.Keys(o.floors)) {
			line += fmt.Sprintf("; %s %.1f", at, o.floors[at])
		}
		lines = append(lines, line)
	}
	return lines, failures
}

// mismatches compares the handlers of a package with the registry.
func mismatches(owners map[string]string, pkg string, handlers map[string]Handler) []string {
	var out []string
	mine := ownedBy(owners, pkg)
	for _, m := range mine {
		if handlers[m] == nil {
			out = append(out, fmt.Sprintf("%s owns the method %q but has no handler for it", pkg, m))
		}
	}
	for _, m := range slices.Sorted(maps.Keys(handlers)) {
		if !slices.Contains(mine, m) {
			out = append(out, fmt.Sprintf("%s has a handler for %q, which the registry does not give to it", pkg, m))
		}
	}
	return out
}

// unseen returns the methods with a handler but no file.
func unseen(files []File, handlers map[string]Handler) []string {
	missing := maps.Clone(handlers)
	for _, f := range files {
		delete(missing, f.Method)
	}
	return slices.Sorted(maps.Keys(missing))
}

// summarise lists the methods that the product hasn't got and counts the files.
func summarise(files []File, owners map[string]string, pkg string) (list []string, summary string) {
	var mine, others, absent int
	missing := map[string]int{}
	for _, f := range files {
		switch owner, has := owners[f.Method]; {
		case !has:
			absent++
			missing[f.Method]++
		case owner == pkg:
			mine++
		default:
			others++
		}
	}
	for _, m := range slices.Sorted(maps.Keys(missing)) {
		list = append(list, fmt.Sprintf("not run, the product hasn't got the method: %s (%d)", m, missing[m]))
	}
	return list, fmt.Sprintf("%d reference files: %d checked by %s, %d left to the tests of other packages, %d of %d methods that the product hasn't got",
		len(files), mine, pkg, others, absent, len(missing))
}
