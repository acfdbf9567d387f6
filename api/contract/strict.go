package contract

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"unicode/utf8"

	"swardcase/model/fault"
)

// The limits of a document, all far above what a case can need. They bound the
// memory and time that a hostile document costs before it is refused.
const (
	// MaxBytes is the length of a whole document. Twenty years of daily readings
	// take 0.7 MB, and 1.2 MB where every member has a line of its own, as resolve
	// writes it; what it writes must be readable.
	MaxBytes = 2 << 20
	maxDepth = 32 // lists and objects inside one another
	// maxTokens counts brackets, names and values. The largest case that the
	// contract allows has about 30,000, and twenty years of daily readings ten a
	// day on top.
	maxTokens = 120_000
	// maxDigits bounds a number as it is written, and a text made of nothing but
	// digits: parsing a million digits as a decimal takes seconds.
	maxDigits   = 40
	maxExponent = 30
)

// Unreadable says why a body is not a JSON document that can be trusted to mean
// one thing: it is malformed, too large or too deep, or ambiguous.
type Unreadable struct{ Faults fault.List }

// Error joins the faults.
func (u *Unreadable) Error() string { return u.Faults.Error() }

func unreadable(pointer string, value any, detail, remedy string) *Unreadable {
	return &Unreadable{Faults: fault.List{fault.New(pointer, value, detail, remedy)}}
}

// readStrictly parses one JSON document into maps, slices, strings, booleans,
// json.Number and nil. It is stricter than encoding/json, which keeps the last
// of two members with one name, mends bad text, and lets numbers run to any
// length. The error is always an *Unreadable.
func readStrictly(body []byte) (any, error) { return readWithin(body, MaxBytes, maxTokens) }

// Bounds of an answer that is read back: some ten times the largest.
const (
	MaxAnswerBytes  = 16 << 20
	maxAnswerTokens = 2_000_000
)

// ReadAnswer reads an answer that was saved, as strictly as any document, but
// for its size: an answer is larger than the question it came from. It gives the
// members of the outermost object, by their exact names.
func ReadAnswer(body []byte) (map[string]any, error) {
	tree, err := readWithin(body, MaxAnswerBytes, maxAnswerTokens)
	if err != nil {
		return nil, err
	}
	members, ok := tree.(map[string]any)
	if !ok {
		return nil, unreadable("", nil, "the document is no JSON object", "give the answer as it was printed")
	}
	return members, nil
}

func readWithin(body []byte, mostBytes, mostTokens int) (any, error) {
	if len(body) > mostBytes {
		return nil, unreadable("", nil, fmt.Sprintf("the document has %d bytes, more than %d", len(body), mostBytes), "send a smaller document")
	}
	if len(bytes.TrimSpace(body)) == 0 {
		return nil, unreadable("", nil, "the document is empty", "send a JSON object")
	}
	if at := firstBadByte(body); at >= 0 {
		return nil, unreadable("", nil, "the text is not UTF-8 at byte "+strconv.Itoa(at), "save the document as UTF-8 without a byte order mark")
	}
	if at := loneSurrogate(body); at >= 0 {
		return nil, unreadable("", nil, "half of a surrogate pair stands alone at byte "+strconv.Itoa(at), "write both halves of the pair, or the character itself")
	}
	r := reader{decoder: json.NewDecoder(bytes.NewReader(body)), most: mostTokens, left: mostTokens}
	r.decoder.UseNumber()
	tree, err := r.value(0)
	if err == nil {
		err = r.end()
	}
	if err != nil {
		return nil, r.explain(err)
	}
	if len(r.faults) > 0 {
		return nil, &Unreadable{Faults: Capped(r.faults)}
	}
	return tree, nil
}

// firstBadByte gives the offset of the first byte that is not UTF-8, or of a
// byte order mark at the start, and -1 when there is none.
func firstBadByte(body []byte) int {
	if bytes.HasPrefix(body, []byte("\ufeff")) {
		return 0
	}
	if utf8.Valid(body) {
		return -1
	}
	for at := 0; at < len(body); {
		r, size := utf8.DecodeRune(body[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return -1
}

// loneSurrogate finds an escape such as \ud800 without its other half, which
// encoding/json would replace without a word. It gives -1 when there is none.
// Outside a string a backslash is a syntax error, so that it need not know
// where strings begin.
func loneSurrogate(body []byte) int {
	for at := 0; at < len(body); at++ {
		if body[at] != '\\' {
			continue
		}
		switch found := surrogate(body[at:]); {
		case found == highHalf && surrogate(body[at+6:]) == lowHalf:
			at += 11
		case found != neither:
			return at
		default:
			at++ // the escaped character may itself be a backslash
		}
	}
	return -1
}

type half int

const (
	neither half = iota
	highHalf
	lowHalf
)

// surrogate says which half of a pair the escape at the start of text is.
func surrogate(text []byte) half {
	if len(text) < 6 || text[0] != '\\' || text[1] != 'u' {
		return neither
	}
	code, err := strconv.ParseUint(string(text[2:6]), 16, 16)
	switch {
	case err != nil || code < 0xd800 || code > 0xdfff:
		return neither
	case code < 0xdc00:
		return highHalf
	}
	return lowHalf
}

// reader walks a document token by token. path holds what leads to the value
// being read; faults are those that do not stop the reading.
type reader struct {
	decoder *json.Decoder
	most    int // of names and values
	left    int
	path    []any
	faults  fault.List
}

var (
	errTooDeep = errors.New("too deep")
	errTooLong = errors.New("too many values")
	errMore    = errors.New("more after the document")
)

func (r *reader) token() (json.Token, error) {
	if r.left--; r.left < 0 {
		return nil, errTooLong
	}
	return r.decoder.Token()
}

func (r *reader) value(depth int) (any, error) {
	token, err := r.token()
	if err != nil {
		return nil, err
	}
	switch token := token.(type) {
	case json.Delim:
		if depth == maxDepth {
			return nil, errTooDeep
		}
		if token == '{' {
			return r.object(depth + 1)
		}
		return r.list(depth + 1)
	case json.Number:
		r.checkNumber(string(token))
	case string:
		r.checkText(token)
	}
	return token, nil
}

func (r *reader) object(depth int) (any, error) {
	members := map[string]any{}
	for r.decoder.More() {
		token, err := r.token()
		if err != nil {
			return nil, err
		}
		name, _ := token.(string) // the decoder lets nothing else stand here
		r.path = append(r.path, fault.Shorten(name))
		if _, twice := members[name]; twice {
			r.fault(name, "this name appears twice in one object", "keep one of the two")
		}
		member, err := r.value(depth)
		if err != nil {
			return nil, err
		}
		members[name] = member
		r.path = r.path[:len(r.path)-1]
	}
	_, err := r.token() // the closing brace
	return members, err
}

func (r *reader) list(depth int) (any, error) {
	entries := []any{}
	for r.decoder.More() {
		r.path = append(r.path, len(entries))
		entry, err := r.value(depth)
		if err != nil {
			return nil, err
		}
		entries = append(entries, entry)
		r.path = r.path[:len(r.path)-1]
	}
	_, err := r.token() // the closing bracket
	return entries, err
}

// end makes sure that nothing but white space follows the document.
func (r *reader) end() error {
	switch _, err := r.decoder.Token(); {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil:
		return err
	}
	return errMore
}

func (r *reader) fault(value any, detail, remedy string) {
	if len(r.faults) <= MaxFaults { // one more than is shown, so that Capped can say so
		r.faults.Add(fault.Pointer(r.path...), value, detail, remedy)
	}
}

func (r *reader) checkNumber(literal string) {
	if len(literal) > maxDigits {
		r.fault(literal, "the number is longer than 40 characters", "round it to what was measured")
		return
	}
	_, exponent, found := strings.Cut(strings.ToLower(literal), "e")
	if !found {
		return
	}
	if power, err := strconv.Atoi(exponent); err != nil || power > maxExponent || power < -maxExponent {
		r.fault(literal, "the exponent is beyond 30 either way", "write the number without an exponent")
	}
}

// checkText refuses a long text that could only be meant as a number.
func (r *reader) checkText(text string) {
	if len(text) > maxDigits && strings.Trim(text, "0123456789+-.eE") == "" {
		r.fault(text, "the text is a number of more than 40 characters", "round it to the currency's smallest coin")
	}
}

// explain turns what stopped the reading into a fault. The position is the
// decoder's, since a syntax error has no JSON pointer of its own.
func (r *reader) explain(err error) *Unreadable {
	pointer, at := fault.Pointer(r.path...), strconv.FormatInt(r.decoder.InputOffset(), 10)
	switch {
	case errors.Is(err, errTooDeep):
		return unreadable(pointer, nil, "lists and objects lie more than 32 deep", "no case needs more than a handful of levels")
	case errors.Is(err, errTooLong):
		return unreadable("", nil, fmt.Sprintf("the document holds more than %d brackets, names and values", r.most), "send fewer readings")
	case errors.Is(err, errMore):
		return unreadable("", nil, "something follows the document after byte "+at, "send one JSON object and nothing else")
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return unreadable(pointer, nil, "the document ends too early", "close every string, list and object")
	}
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		at = strconv.FormatInt(syntax.Offset, 10)
	}
	return unreadable(pointer, nil, "this is not JSON near byte "+at, "look for a missing comma, colon or quotation mark there")
}
