package api_test

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"
)

// node is one value of a JSON text. A scalar has its literal; the others have
// children, which in an object carry their quoted names.
type node struct {
	kind     byte // 's' scalar, 'o' object, 'l' list
	name     string
	literal  string
	children []*node
}

func parseNode(t testing.TB, text []byte) *node {
	t.Helper()
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.UseNumber()
	n, err := decodeNode(decoder)
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func decodeNode(decoder *json.Decoder) (*node, error) {
	token, err := decoder.Token()
	if err != nil {
		return nil, err
	}
	n := &node{kind: 's'}
	switch token {
	case json.Delim('{'):
		n.kind = 'o'
	case json.Delim('['):
		n.kind = 'l'
	default:
		literal, err := json.Marshal(token)
		n.literal = string(literal)
		return n, err
	}
	for decoder.More() {
		name := ""
		if n.kind == 'o' {
			token, err := decoder.Token()
			if err != nil {
				return nil, err
			}
			quoted, _ := json.Marshal(token)
			name = string(quoted)
		}
		child, err := decodeNode(decoder)
		if err != nil {
			return nil, err
		}
		child.name = name
		n.children = append(n.children, child)
	}
	_, err = decoder.Token()
	return n, err
}

func (n *node) clone() *node {
	copied := *n
	copied.children = make([]*node, len(n.children))
	for i, child := range n.children {
		copied.children[i] = child.clone()
	}
	return &copied
}

func (n *node) write(out *bytes.Buffer) {
	if n.kind == 's' {
		out.WriteString(n.literal)
		return
	}
	brackets := map[byte]string{'o': "{}", 'l': "[]"}[n.kind]
	out.WriteByte(brackets[0])
	for i, child := range n.children {
		if i > 0 {
			out.WriteByte(',')
		}
		if n.kind == 'o' {
			out.WriteString(child.name)
			out.WriteByte(':')
		}
		child.write(out)
	}
	out.WriteByte(brackets[1])
}

// all lists the node and what lies below it.
func (n *node) all() []*node {
	list := []*node{n}
	for _, child := range n.children {
		list = append(list, child.all()...)
	}
	return list
}

// spoil changes one place of the tree.
func (n *node) spoil(r *rand.Rand) {
	nodes := n.all()
	at := nodes[r.IntN(len(nodes))]
	switch {
	case r.IntN(3) == 0 && at.kind == 's':
		at.nudge(r)
	case r.IntN(3) == 0 && len(at.children) > 0:
		at.rearrange(r)
	case r.IntN(8) == 0:
		at.nest(r)
	case r.IntN(4) == 0:
		other := nodes[r.IntN(len(nodes))].clone()
		other.name = at.name
		*at = *other
	default:
		*at = node{kind: 's', name: at.name, literal: hostile[r.IntN(len(hostile))]}
	}
}

// vary changes one number, or the length of one list, by so little that the
// case mostly keeps to the contract and the model has to answer it.
func (n *node) vary(r *rand.Rand) {
	var places []*node
	for _, at := range n.all() {
		if _, err := strconv.ParseFloat(at.literal, 64); err == nil || at.kind == 'l' && len(at.children) > 0 {
			places = append(places, at)
		}
	}
	at := places[r.IntN(len(places))]
	if at.kind == 'l' {
		i := r.IntN(len(at.children))
		at.children = [][]*node{at.children[:i+1], append(at.children, at.children[i].clone())}[r.IntN(2)]
		return
	}
	value, _ := strconv.ParseFloat(at.literal, 64)
	factors := []float64{0, 0.1, 0.5, 0.9, 0.99, 1.01, 1.1, 2, 3, 10}
	at.literal = strconv.FormatFloat(value*factors[r.IntN(len(factors))], 'f', -1, 64)
}

// nudge moves a number or changes a text by a character.
func (n *node) nudge(r *rand.Rand) {
	value, err := strconv.ParseFloat(n.literal, 64)
	if err != nil {
		if len(n.literal) > 2 && n.literal[0] == '"' {
			cut := 1 + r.IntN(len(n.literal)-2)
			n.literal = n.literal[:cut] + []string{"", "a", "0", " ", "é"}[r.IntN(5)] + n.literal[cut:]
		}
		return
	}
	factors := []float64{0, -1, 0.001, 0.1, 0.5, 0.9, 1.1, 2, 10, 1000, 1e9}
	value *= factors[r.IntN(len(factors))]
	n.literal = strconv.FormatFloat(value, 'g', -1, 64)
}

// rearrange drops, repeats, renames or swaps the parts of a list or object.
func (n *node) rearrange(r *rand.Rand) {
	i, j := r.IntN(len(n.children)), r.IntN(len(n.children))
	switch r.IntN(6) {
	case 0, 1:
		n.children = append(n.children[:i:i], n.children[i+1:]...)
	case 2:
		n.children = append(n.children, n.children[i].clone())
	case 3:
		for range r.IntN(300) {
			n.children = append(n.children, n.children[i].clone())
		}
	case 4:
		n.children[i].name, n.children[j].name = n.children[j].name, n.children[i].name
	default:
		name := strings.Trim(n.children[i].name, `"`)
		n.children[i].name = `"` + name[:r.IntN(len(name)+1)] + `"`
	}
}

// nest wraps the node in lists or objects.
func (n *node) nest(r *rand.Rand) {
	depth := 1 + r.IntN(40)
	name := n.name
	for range depth {
		inner := *n
		inner.name = `"x"`
		*n = node{kind: []byte("ol")[r.IntN(2)], children: []*node{&inner}}
	}
	n.name = name
}

// hostile are literals that a careless reader takes for something else.
var hostile = []string{
	`null`, `true`, `false`, `""`, `[]`, `{}`, `0`, `-0`, `-1`, `1.5`, `1e3`,
	`NaN`, `Infinity`, `-Infinity`, `1e400`, `-1e400`, `1e-400`, `1e30`, `-1e30`, `1e31`, `5e-324`, `1.7976931348623157e308`,
	`01`, `+1`, `.5`, `1.`, `0x10`, `1_000`, `9007199254740993`, `99999999999999999999`,
	strings.Repeat("9", 41), `0.` + strings.Repeat("3", 41), strings.Repeat("7", 5000),
	`"` + strings.Repeat("x", 5000) + `"`, `"` + strings.Repeat("9", 5000) + `"`,
	`"\u0000"`, `"\ud800"`, `"\udc00\ud800"`, `"\ud83d\ude00"`, "\"\xff\"", "\"\x01\"", `"\x"`, `"../../etc"`, `"<script>"`, `"'; --"`, `"\u202e"`,
	`"NaN"`, `"Infinity"`, `"1e1000000"`, `"1e-1000000"`, `"1E5"`, `"-0.00"`, `"-1"`, `"0.00001"`, `"12.34567"`, `"999999999999.9999"`,
	`"1,000.00"`, `"１２"`, `"0x10"`, `" 1"`, `"1 "`, `"1\n"`, `"GBP"`, `"gbp"`, `"JPY"`, `"KWD"`, `"XXX"`,
	`"2026-02-30"`, `"0000-00-00"`, `"9999-12-31"`, `"2026-13"`, `"1900-01"`, `"2199-12"`,
	`{"amount":"1","currency":"JPY"}`, `{"amount":1,"currency":"GBP"}`, `{"amount":"1"}`,
	`[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]]`,
	`'single'`, `undefined`, `//`, `,`, `]`, `}`, `:`, ``,
}
