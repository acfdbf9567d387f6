package costs

import "testing"

// The short form fits a table: at most ten characters and a minus.
func TestShortShowsThreeDigitsAndTheirMultiple(t *testing.T) {
	tests := []struct{ amount, currency, want string }{
		{"21173.88", "GBP", "£21.2k"},
		{"-35648.01", "GBP", "-£35.6k"},
		{"999.40", "GBP", "£999"},
		{"999.60", "GBP", "£1.00k"},
		{"1000.00", "GBP", "£1.00k"},
		{"999499", "JPY", "JPY 999k"},
		{"999500", "JPY", "JPY 1.00M"},
		{"9500000", "JPY", "JPY 9.50M"},
		{"-999999999999.9999", "CLF", "-CLF 1.00tn"},
		{"123456789012", "VND", "VND 123bn"},
		{"0.000", "KWD", "KWD 0"},
	}
	for _, tt := range tests {
		currency, _ := LookupCurrency(tt.currency)
		amount, err := ParseMoney(tt.amount, currency)
		if err != nil {
			t.Fatal(err)
		}
		if got := amount.Short(); got != tt.want {
			t.Errorf("Short(%s %s) = %q, want %q", tt.amount, tt.currency, got, tt.want)
		}
	}
}

func TestAboutShowsThreeDigits(t *testing.T) {
	tests := []struct{ amount, currency, want string }{
		{"21173.88", "GBP", "£21,200"},
		{"-35648.01", "GBP", "-£35,600"},
		{"1519.46", "GBP", "£1,520"},
		{"999.60", "GBP", "£1,000"},
		{"-0.40", "GBP", "£0"},
		{"0.00", "EUR", "€0"},
		{"123456", "JPY", "JPY 123,000"},
		{"999999999999.99", "GBP", "£999,999,999,999"},
	}
	for _, tt := range tests {
		currency, _ := LookupCurrency(tt.currency)
		amount, err := ParseMoney(tt.amount, currency)
		if err != nil {
			t.Fatal(err)
		}
		if got := amount.About(); got != tt.want {
			t.Errorf("About(%s %s) = %q, want %q", tt.amount, tt.currency, got, tt.want)
		}
	}
}
