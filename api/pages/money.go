package pages

import (
	"regexp"

	"github.com/shopspring/decimal"

	"swardcase/api/report"
	"swardcase/costs"
)

// about writes an amount as an estimate, to three digits: money on a page is an
// estimate unless it stands in a bill.
func about(m costs.Money) string { return report.Minus(m.About()) }

// exact writes an amount to its smallest coin, as in a bill.
func exact(m costs.Money) string { return report.Minus(m.Format()) }

// between writes a range of estimates.
func between(low, high costs.Money) string { return about(low) + " to " + about(high) }

// needlessZeros are the places of a short amount that say nothing.
var needlessZeros = regexp.MustCompile(`\.0+([a-zA-Z]*)$|(\.\d*?[1-9])0+([a-zA-Z]*)$`)

// moneyWriter writes values of a chart as amounts in a currency: short beside an
// axis, where a step tells them far apart, and to three digits elsewhere.
func moneyWriter(currency costs.Currency) func(value, step float64) string {
	return func(value, step float64) string {
		amount, err := costs.NewMoney(decimal.NewFromFloat(value), currency)
		if err != nil {
			return ""
		}
		if step < 100 {
			return about(amount)
		}
		return report.Minus(needlessZeros.ReplaceAllString(amount.Short(), "$1$2$3"))
	}
}
