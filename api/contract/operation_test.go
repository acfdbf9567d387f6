package contract_test

import (
	"errors"
	"net/http/httptest"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"swardcase/api/contract"
	"swardcase/openapi"
)

// listing is a contract with the parameters that a paged list has.
const listing = `
openapi: 3.0.3
info: {title: parameters, version: "1"}
paths:
  /greens/{number}:
    parameters:
      - {name: number, in: path, required: true, schema: {type: integer, minimum: 1, maximum: 36}}
    get:
      operationId: listGreens
      parameters:
        - {name: limit, in: query, schema: {type: integer, minimum: 1, maximum: 100, default: 50}}
        - {name: order, in: query, schema: {type: string, enum: [name, index]}}
      responses:
        "204": {description: nothing}
`

func TestParametersAreChecked(t *testing.T) {
	doc, err := openapi.Parse([]byte(listing))
	if err != nil {
		t.Fatal(err)
	}
	op := contract.New(doc, nil).Operations()[0]
	tests := []struct {
		name, number, query string
		want                []string // parameter: detail; remedy
	}{
		{"sound", "7", "limit=3&order=name", nil},
		{"left out", "7", "", nil},
		{"typing error", "7", "lmit=3", []string{"lmit: is not a query parameter of this operation; perhaps limit was meant; otherwise take it out"}},
		{"unknown", "7", "zebra=1", []string{"zebra: is not a query parameter of this operation; take it out; the query parameters here are limit, order"}},
		{"not UTF-8", "7", "order=%ff", []string{"order: is not plain text in UTF-8; percent-encode UTF-8, without the character NUL", "order: is not one of the values allowed; use one of: name, index"}},
		{"NUL", "7", "order=name%00", []string{"order: is not plain text in UTF-8; percent-encode UTF-8, without the character NUL", "order: is not one of the values allowed; perhaps name was meant; use one of: name, index"}},
		{"twice", "7", "limit=1&limit=2", []string{"limit: is given more than once; keep one of them"}},
		{"out of range", "7", "limit=0", []string{"limit: is below the least allowed, 1; give a whole number written without a point or an exponent from 1 to 100"}},
		{"not a number", "7", "limit=ten", []string{"limit: cannot be read as a whole number written without a point or an exponent; give a whole number written without a point or an exponent from 1 to 100"}},
		{"not allowed", "7", "order=age", []string{"order: is not one of the values allowed; use one of: name, index"}},
		{"malformed", "7", "limit=%zz", []string{": the query string is malformed; write name=value pairs joined by &, percent-encoded"}},
		{"path out of range", "99", "", []string{"number: is above the most allowed, 36; give a whole number written without a point or an exponent from 1 to 36"}},
		{"several", "0", "limit=0&x=1", []string{
			"x: is not a query parameter of this operation; take it out; the query parameters here are limit, order",
			"number: is below the least allowed, 1; give a whole number written without a point or an exponent from 1 to 36",
			"limit: is below the least allowed, 1; give a whole number written without a point or an exponent from 1 to 100",
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := httptest.NewRequest("GET", "/greens/"+tt.number+"?"+tt.query, nil)
			err := op.CheckParameters(r, map[string]string{"number": tt.number})
			var bad contract.BadParameters
			var got []string
			if errors.As(err, &bad) {
				got = strings.Split(bad.Error(), "\n")
			} else if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

func TestDefaultsAreWrittenIntoTheQuery(t *testing.T) {
	doc, err := openapi.Parse([]byte(listing))
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest("GET", "/greens/7", nil)
	if err := contract.New(doc, nil).Operations()[0].CheckParameters(r, map[string]string{"number": "7"}); err != nil {
		t.Fatal(err)
	}
	if got := r.URL.Query().Get("limit"); got != "50" {
		t.Errorf("limit is %q, want the contract's default 50", got)
	}
}
