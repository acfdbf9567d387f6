package contract

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"

	"swardcase/model/fault"
)

// fault puts a finding into words.
func (f finding) fault() fault.Fault {
	last := ""
	if len(f.path) > 0 {
		last = f.path[len(f.path)-1]
	}
	detail, remedy := f.words(last)
	if f.keyword == "required" {
		return fault.New(pointerTo(f.path), nil, detail, remedy)
	}
	return fault.New(pointerTo(f.path), shown(f.value), detail, remedy)
}

// words gives what is wrong and how to mend it; last is the field at fault.
func (f finding) words(last string) (detail, remedy string) {
	s := f.schema
	if f.detail != "" {
		return f.detail, f.remedy
	}
	if s == nil {
		return "does not meet the contract", "compare it with the contract"
	}
	write := "give " + describe(s)
	switch f.keyword {
	case "required":
		return "is required but missing", "add it: " + describe(property(s, last))
	case "properties":
		return "is not a field of this object", unknownRemedy(s, last)
	case "type":
		return "is not " + kindWord(s), write
	case "nullable":
		return "must not be null", "leave the field out, or " + write
	case "minimum":
		return "is below the least allowed, " + number(*s.Min), write
	case "maximum":
		return "is above the most allowed, " + number(*s.Max), write
	case "enum":
		return "is not one of the values allowed", enumRemedy(s, f.value)
	case "minLength":
		return "is shorter than " + plural(s.MinLength, "character"), write
	case "maxLength":
		return "is longer than " + plural(*s.MaxLength, "character"), write
	case "minItems":
		return "has fewer than " + plural(s.MinItems, entryWord(s)), write
	case "maxItems":
		return "has more than " + plural(*s.MaxItems, entryWord(s)), write
	case "pattern":
		return "is not written as it must be", write
	case "format":
		return "is not a valid " + s.Format, write
	}
	return "does not meet the contract", write
}

// describe says what a schema wants, as a noun phrase.
func describe(s *openapi3.Schema) string {
	switch {
	case s == nil:
		return "see the contract"
	case len(s.Enum) > 0:
		return "one of: " + strings.Join(enumWords(s), ", ")
	case s.Type.Is(openapi3.TypeNumber), s.Type.Is(openapi3.TypeInteger):
		return kindWord(s) + bounds(s)
	case s.Type.Is(openapi3.TypeString) && s.Pattern != "" && s.Example != nil:
		return fmt.Sprintf("text such as %q", s.Example)
	case s.Type.Is(openapi3.TypeString) && s.Pattern != "":
		return "text of this form: " + strings.TrimSuffix(s.Description, ".")
	case s.Type.Is(openapi3.TypeString) && s.MaxLength != nil:
		return fmt.Sprintf("text of %d to %s", s.MinLength, plural(*s.MaxLength, "character"))
	case s.Type.Is(openapi3.TypeArray) && s.MaxItems != nil && s.MinItems == *s.MaxItems:
		return "a list of exactly " + plural(s.MinItems, entryWord(s))
	case s.Type.Is(openapi3.TypeArray) && s.MaxItems != nil:
		return fmt.Sprintf("a list of %d to %s", s.MinItems, plural(*s.MaxItems, entryWord(s)))
	case s.Type.Is(openapi3.TypeObject) && len(s.Required) > 0:
		return "an object with at least " + strings.Join(s.Required, ", ")
	}
	return kindWord(s)
}

func kindWord(s *openapi3.Schema) string {
	switch {
	case s.Type.Is(openapi3.TypeNumber):
		return "a number"
	case s.Type.Is(openapi3.TypeInteger):
		return "a whole number written without a point or an exponent"
	case s.Type.Is(openapi3.TypeString):
		return "text in quotation marks"
	case s.Type.Is(openapi3.TypeBoolean):
		return "true or false"
	case s.Type.Is(openapi3.TypeArray):
		return "a list"
	}
	return "an object"
}

func bounds(s *openapi3.Schema) string {
	switch {
	case s.Min != nil && s.Max != nil:
		return " from " + number(*s.Min) + " to " + number(*s.Max)
	case s.Min != nil:
		return " of at least " + number(*s.Min)
	case s.Max != nil:
		return " of at most " + number(*s.Max)
	}
	return ""
}

// entryWord names what a list holds: values, or entries with fields.
func entryWord(s *openapi3.Schema) string {
	if s.Items != nil && s.Items.Value.Type.Is(openapi3.TypeObject) {
		return "entry"
	}
	return "value"
}

func plural(n uint64, noun string) string {
	text := strconv.FormatUint(n, 10) + " " + noun
	switch {
	case n == 1:
		return text
	case strings.HasSuffix(noun, "y"):
		return strings.TrimSuffix(text, "y") + "ies"
	}
	return text + "s"
}

func number(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func property(s *openapi3.Schema, name string) *openapi3.Schema {
	if ref := s.Properties[name]; ref != nil {
		return ref.Value
	}
	return nil
}

func enumWords(s *openapi3.Schema) []string {
	words := make([]string, len(s.Enum))
	for i, value := range s.Enum {
		words[i] = fmt.Sprint(value)
	}
	return words
}

func enumRemedy(s *openapi3.Schema, value any) string {
	words := enumWords(s)
	use := "use one of: " + strings.Join(words, ", ")
	if given, ok := value.(string); ok {
		if likely := nearest(given, words); likely != "" {
			return "perhaps " + likely + " was meant; " + use
		}
	}
	return use
}

// namedFields is how many field names a remedy lists.
const namedFields = 12

func unknownRemedy(s *openapi3.Schema, given string) string {
	names := slices.Sorted(maps.Keys(s.Properties))
	if likely := nearest(given, names); likely != "" {
		return "perhaps " + likely + " was meant; otherwise take the field out"
	}
	list := strings.Join(names[:min(len(names), namedFields)], ", ")
	if len(names) > namedFields {
		list += " and others"
	}
	return "take it out; the fields here are " + list
}

// nearest gives the one word that a typing error most likely stood for, or ""
// when none is close: at most one slip in four characters.
func nearest(given string, words []string) string {
	best, bestDistance := "", 0
	for _, word := range words {
		allowed := max(1, len(word)/4)
		if given == "" || len(given) > len(word)+allowed || len(word) > len(given)+allowed {
			continue
		}
		distance := slips(strings.ToLower(given), word)
		if distance <= allowed && (best == "" || distance < bestDistance) {
			best, bestDistance = word, distance
		}
	}
	return best
}

// slips counts the least number of single-character insertions, deletions and
// substitutions between two words (Levenshtein 1966).
func slips(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			substitution := diagonal
			if a[i] != b[j] {
				substitution++
			}
			diagonal = row[j+1]
			row[j+1] = min(substitution, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// shown prints a value for a person: scalars as they are, the others by size.
func shown(value any) string {
	switch value := value.(type) {
	case nil:
		return "null"
	case []any:
		return "a list of " + strconv.Itoa(len(value))
	case map[string]any:
		return "an object"
	case json.Number:
		return string(value)
	case float64:
		return number(value)
	}
	return fmt.Sprint(value)
}

// pointerTo builds the JSON pointer of a path. Names are shortened, since a
// caller may have made them up.
func pointerTo(path []string) string {
	tokens := make([]any, len(path))
	for i, token := range path {
		tokens[i] = fault.Shorten(token)
	}
	return fault.Pointer(tokens...)
}
