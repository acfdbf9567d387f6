package model

import (
	"slices"
	"strings"

	"swardcase/model/assumption"
	"swardcase/model/fault"
)

// assumptionsPrefix marks the faults of a sub-package that lie in an
// assumption, named behind it.
const assumptionsPrefix = "/assumptions/"

// home gives the faults of a sub-package their place in the case.
func (r Resolved) home(faults fault.List, homes ...[2]string) fault.List {
	var moved fault.List
	for _, f := range faults {
		f.Pointer = r.homeOf(f.Pointer, homes)
		moved = append(moved, f)
	}
	return moved
}

// homeOf sends the pointer of an assumption to the case's override of it, if there
// is one; one that stops at the list of assumptions stays. Any other goes by the
// first pointer in homes that it starts with: the longer of two stands first, and
// the key "", which takes all that is left, last.
func (r Resolved) homeOf(pointer string, homes [][2]string) string {
	if pointer == "/assumptions" {
		return pointer
	}
	if name, is := strings.CutPrefix(pointer, assumptionsPrefix); is {
		return r.overrideOf(name)
	}
	for _, h := range homes {
		if rest, is := strings.CutPrefix(pointer, h[0]); is {
			return h[1] + rest
		}
	}
	return pointer
}

// overrideOf points at the case's own override of an assumption.
func (r Resolved) overrideOf(name string) string {
	name, _, _ = strings.Cut(name, "/")
	i := slices.IndexFunc(r.given, func(o assumption.Override) bool { return o.Name == name })
	if i < 0 {
		return "/assumptions"
	}
	return fault.Pointer("assumptions", i, "likely")
}
