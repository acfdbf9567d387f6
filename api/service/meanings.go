package service

import (
	"fmt"
	"strings"

	"swardcase/api/contract"
	"swardcase/costs"
)

// meanings are what the contract's schemas cannot say for themselves, by the
// name of the schema.
var meanings = map[string]contract.Meaning{
	"Currency": currencyMeaning,
	"Money":    moneyMeaning,
}

func currencyMeaning(value any) (field, detail, remedy string) {
	code, isText := value.(string)
	if _, known := costs.LookupCurrency(code); !isText || known {
		return "", "", "" // the schema has complained of what is not text
	}
	return "", "is not a currency known here", "use one of: " + currencyCodes()
}

func currencyCodes() string {
	var codes []string
	for _, currency := range costs.Currencies() {
		codes = append(codes, currency.Code())
	}
	return strings.Join(codes, ", ")
}

// moneyMeaning checks an amount against its currency's smallest coin. A currency
// that is not known is complained of where it stands.
func moneyMeaning(value any) (field, detail, remedy string) {
	money, _ := value.(map[string]any)
	amount, isText := money["amount"].(string)
	code, _ := money["currency"].(string)
	currency, known := costs.LookupCurrency(code)
	if !isText || !known || len(amount) > maxAmountLength {
		return "", "", ""
	}
	if _, err := costs.ParseMoney(amount, currency); err == nil {
		return "", "", ""
	}
	return "amount", fmt.Sprintf("is not an amount of %s, which has %d decimal places", currency.Code(), currency.Places()),
		"round it to the currency's smallest coin"
}

// maxAmountLength keeps a long text from being parsed as a decimal; the contract
// refuses it by itself.
const maxAmountLength = 20
