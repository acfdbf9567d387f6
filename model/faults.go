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

// home gives the faults of a sub-package their place in the case. A fault of
// an assumption goes to the case's override of it, if there is one; otherwise
// the place is looked up by the longest pointer in homes that it starts with;
// a pointer that is nowhere there goes below the last home, whose key is "".
func (r Resolved) home(faults fault.List, homes ...[2]string) fault.List {
	var moved fault.List
	for _, f := range faults {
		if name, is := strings.CutPrefix(f.Pointer, assumptionsPrefix); is {
			f.Pointer = r.overrideOf(name)
			moved = append(moved, f)
			continue
		}
		for _, h := range homes {
			if rest, is := strings.CutPrefix(f.Pointer, h[0]); is {
				f.Pointer = h[1] + rest
				break
			}
		}
		moved = append(moved, f)
	}
	return moved
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
