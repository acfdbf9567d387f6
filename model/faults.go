package model

import (
	"strings"

	"swardcase/model/fault"
)

// underCondition moves a fault of the judgement to the part of the case that
// its input came from. Faults of scales and assumptions are already in place.
func underCondition(f fault.Fault) fault.Fault {
	switch {
	case strings.HasPrefix(f.Pointer, "/scales"), strings.HasPrefix(f.Pointer, "/assumptions"):
	case strings.HasPrefix(f.Pointer, "/soil_layers"), strings.HasPrefix(f.Pointer, "/outfall"), strings.HasPrefix(f.Pointer, "/surroundings"):
		f.Pointer = "/green" + f.Pointer
	case strings.HasPrefix(f.Pointer, "/trial"):
		f.Pointer = "/upkeep" + f.Pointer
	default:
		f.Pointer = "/survey"
	}
	return f
}
