package costs

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"pgregory.net/rapid"
)

// ISO 4217 minor units and numeric codes: equal.
func TestCurrenciesAgreeWithISO4217(t *testing.T) {
	type row struct {
		Source, Code, Numeric string
		Places                int32
	}
	rows := load[row](t, "currencies.json")
	for _, want := range rows {
		got, ok := LookupCurrency(want.Code)
		if !ok || got.Numeric() != want.Numeric || got.Places() != want.Places {
			t.Errorf("%s: got %s/%d, want %s/%d (%s)", want.Code, got.Numeric(), got.Places(), want.Numeric, want.Places, want.Source)
		}
	}
	if len(Currencies()) != len(rows) {
		t.Errorf("%d currencies in the program, %d checked", len(Currencies()), len(rows))
	}
	for i, c := range currencies[1:] {
		if c.code <= currencies[i].code {
			t.Errorf("%s is out of order: the look-up would miss it", c.code)
		}
	}
	if c := Currency(250); c.Code() != "" || c.Places() != 0 {
		t.Errorf("row 250 of the table is %s", c)
	}
}

// Half away from zero, to the penny; half to even is the trap.
func TestRoundingIsHalfAwayFromZero(t *testing.T) {
	type row struct {
		Source, Amount string
		HalfAway       string `json:"half_away"`
		HalfEven       string `json:"half_even"`
	}
	parted := false
	for _, r := range load[row](t, "rounding.json") {
		got, err := NewMoney(dec(r.Amount), currency(t, "GBP"))
		if err != nil || !got.Amount().Equal(dec(r.HalfAway)) {
			t.Errorf("%s rounds to %v (%v), want %s", r.Amount, got, err, r.HalfAway)
		}
		parted = parted || r.HalfAway != r.HalfEven
	}
	if !parted {
		t.Error("no row tells the two rules apart")
	}
}

func TestMoneyIsWrittenAtTheScaleOfItsCurrency(t *testing.T) {
	for _, c := range []struct{ amount, code, json, format string }{
		{"12345.6", "GBP", `{"amount":"12345.60","currency":"GBP"}`, "£12,345.60"},
		{"0", "GBP", `{"amount":"0.00","currency":"GBP"}`, "£0.00"},
		{"-0.05", "EUR", `{"amount":"-0.05","currency":"EUR"}`, "-€0.05"},
		{"1234567", "JPY", `{"amount":"1234567","currency":"JPY"}`, "JPY 1,234,567"},
		{"1.5", "KWD", `{"amount":"1.500","currency":"KWD"}`, "KWD 1.500"},
		{"0.0007", "CLF", `{"amount":"0.0007","currency":"CLF"}`, "CLF 0.0007"},
		{"999999999999.99", "USD", `{"amount":"999999999999.99","currency":"USD"}`, "USD 999,999,999,999.99"},
		{"-100", "SEK", `{"amount":"-100.00","currency":"SEK"}`, "-SEK 100.00"},
	} {
		m := money(t, c.amount, c.code)
		got, err := json.Marshal(m)
		if err != nil || string(got) != c.json {
			t.Errorf("%s: written %s (%v), want %s", c.amount, got, err, c.json)
		}
		if m.Format() != c.format {
			t.Errorf("%s: formatted %q, want %q", c.amount, m.Format(), c.format)
		}
	}
	if _, err := json.Marshal(Money{}); err == nil {
		t.Error("an amount without a currency was written")
	}
}

func TestMoneyRefusesWhatIsNotMoney(t *testing.T) {
	for _, text := range []string{
		`null`, `12.5`, `"12.50"`, `{}`, `[]`, `true`,
		`{"amount":"1.00"}`, `{"currency":"GBP"}`,
		`{"amount":null,"currency":"GBP"}`, `{"amount":"1.00","currency":null}`,
		`{"amount":1.00,"currency":"GBP"}`, `{"amount":"1e3","currency":"GBP"}`, `{"amount":"1E-2","currency":"GBP"}`,
		`{"amount":"1.001","currency":"GBP"}`, `{"amount":"1.0","currency":"JPY"}`, `{"amount":"1.00000","currency":"CLF"}`,
		`{"amount":"1234567890123","currency":"GBP"}`, `{"amount":"+1","currency":"GBP"}`, `{"amount":"01","currency":"GBP"}`,
		`{"amount":".5","currency":"GBP"}`, `{"amount":"5.","currency":"GBP"}`, `{"amount":"","currency":"GBP"}`, `{"amount":"-","currency":"GBP"}`,
		`{"amount":" 1","currency":"GBP"}`, `{"amount":"1,000","currency":"GBP"}`, `{"amount":"NaN","currency":"GBP"}`, `{"amount":"Inf","currency":"GBP"}`,
		`{"amount":"١","currency":"GBP"}`, `{"amount":"1.00","currency":"gbp"}`, `{"amount":"1.00","currency":"XXX"}`,
		`{"amount":"1.00","currency":"GBP","note":"x"}`, `{"AMOUNT":"1.00","currency":"GBP"}`,
	} {
		var m Money
		if err := json.Unmarshal([]byte(text), &m); err == nil {
			t.Errorf("%s was read as %v", text, m)
		}
	}
}

// Two million digits would take the decimal library seconds; they are refused
// by their form. ErrTooLarge would show that they had been parsed first.
func TestLongDigitStringsAreRefusedBeforeTheyAreParsed(t *testing.T) {
	_, err := ParseMoney(strings.Repeat("9", 2_000_000), currency(t, "GBP"))
	if err == nil || errors.Is(err, ErrTooLarge) || len(err.Error()) > 300 {
		t.Errorf("2,000,000 digits: %.80v", err)
	}
	if _, err := decimal.NewFromString("1e1000"); err == nil {
		t.Error("the decimal library still reads the exponent 1000")
	}
}

func TestArithmeticRefusesWhatItCannotDo(t *testing.T) {
	pound, euro := money(t, "1.00", "GBP"), money(t, "1.00", "EUR")
	most := money(t, "999999999999.99", "GBP")
	if _, err := pound.Add(euro); !errors.Is(err, ErrMixedCurrencies) {
		t.Errorf("pounds and euros were added: %v", err)
	}
	if _, err := pound.Cmp(euro); !errors.Is(err, ErrMixedCurrencies) {
		t.Errorf("pounds and euros were compared: %v", err)
	}
	if _, err := pound.Add(Money{}); !errors.Is(err, ErrMixedCurrencies) {
		t.Errorf("pounds and nothing were added: %v", err)
	}
	if _, err := most.Add(money(t, "0.01", "GBP")); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a sum of 13 digits was made: %v", err)
	}
	for _, factor := range []decimal.Decimal{dec("2"), decimal.New(1, 2_000_000_000), decimal.New(1, -2_000_000_000), decimal.New(1, 30)} {
		if _, err := most.Mul(factor); !errors.Is(err, ErrTooLarge) {
			t.Errorf("a product beyond 12 digits was made: %v", err)
		}
	}
	if _, err := NewMoney(dec("1"), Currency(0)); err == nil {
		t.Error("an amount without a currency was made")
	}
}

func TestMulRoundsOnce(t *testing.T) {
	// 0.15 × 0.3 = 0.045: once gives 0.05; by way of 3 places and half to even, 0.04.
	got, err := money(t, "0.15", "GBP").Mul(dec("0.3"))
	if err != nil || !got.Equal(money(t, "0.05", "GBP")) {
		t.Errorf("0.15 × 0.3 = %v (%v)", got, err)
	}
	got, err = money(t, "-0.15", "GBP").Mul(dec("0.3"))
	if err != nil || !got.Equal(money(t, "-0.05", "GBP")) {
		t.Errorf("-0.15 × 0.3 = %v (%v)", got, err)
	}
}

// drawMoney draws any amount of any currency.
func drawMoney(rt *rapid.T) Money {
	c := rapid.SampledFrom(Currencies()).Draw(rt, "currency")
	return ofMinor(rapid.Int64Range(-minorLimit(c)+1, minorLimit(c)-1).Draw(rt, "minor"), c)
}

func TestMoneyRoundTripsThroughJSON(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := drawMoney(rt)
		text, err := json.Marshal(m)
		if err != nil {
			rt.Fatal(err)
		}
		var read Money
		if err := json.Unmarshal(text, &read); err != nil || !read.Equal(m) {
			rt.Fatalf("%v written %s read %v (%v)", m, text, read, err)
		}
		again, _ := json.Marshal(read)
		if string(again) != string(text) {
			rt.Fatalf("%s written again %s", text, again)
		}
		if m.DecimalText() != m.Amount().StringFixed(m.currency.Places()) {
			rt.Fatalf("%s, but the decimal is %s", m.DecimalText(), m.Amount().StringFixed(m.currency.Places()))
		}
	})
}

// The cash flow's 128-bit product equals decimal multiplication and rounding.
func TestRoundedProductEqualsDecimals(t *testing.T) {
	limit := decimal.NewFromInt(math.MaxInt64)
	rapid.Check(t, func(rt *rapid.T) {
		minor := rapid.Int64().Draw(rt, "minor")
		coefficient := rapid.Int64Range(0, math.MaxInt64).Draw(rt, "coefficient")
		places := rapid.IntRange(0, 18).Draw(rt, "places")
		want := decimal.NewFromInt(minor).Mul(decimal.NewFromInt(coefficient)).Shift(-int32(places)).Round(0)
		got, ok := roundedProduct(minor, coefficient, places)
		if ok != want.Abs().LessThanOrEqual(limit) {
			rt.Fatalf("%d × %d / 10^%d: ok %v, but the product is %v", minor, coefficient, places, ok, want)
		}
		if ok && !want.Equal(decimal.NewFromInt(got)) {
			rt.Fatalf("%d × %d / 10^%d = %d, want %v", minor, coefficient, places, got, want)
		}
	})
	for _, c := range []struct{ minor, coefficient, want int64 }{{5, 1, 1}, {-5, 1, -1}, {4, 1, 0}, {15, 1, 2}, {25, 1, 3}} {
		if got, _ := roundedProduct(c.minor, c.coefficient, 1); got != c.want {
			t.Errorf("%d/10 rounds to %d, want %d", c.minor, got, c.want)
		}
	}
}

func FuzzMoney(f *testing.F) {
	f.Add(`{"amount":"12345.60","currency":"GBP"}`)
	f.Add(`{"amount":"-0.001","currency":"KWD"}`)
	f.Add(`{"amount":"1e400000000","currency":"JPY"}`)
	f.Fuzz(func(t *testing.T, text string) {
		var m Money
		if json.Unmarshal([]byte(text), &m) != nil {
			return
		}
		written, err := json.Marshal(m)
		if err != nil {
			t.Fatalf("%q was read but cannot be written: %v", text, err)
		}
		var again Money
		if err := json.Unmarshal(written, &again); err != nil || !again.Equal(m) {
			t.Fatalf("%q read %v, then %v (%v)", text, m, again, err)
		}
	})
}
