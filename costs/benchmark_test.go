package costs

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"
)

// appraise does the cash flows of one appraisal: 8 options over 25 years, every
// month with upkeep, income, and for two years aftercare and income lost; and
// compares each with the first.
func appraise(b *testing.B, frame Timeline, upkeep, worth Twelve) int {
	shares := [12]float64{0.2, 0.1, 0, 0, 0.3, 0.7, 1, 1, 1, 1, 0.9, 0.6}
	capital := money(b, "84000.00", "GBP")
	var yardstick CashFlow
	paid := 0
	for option := range 8 {
		ledger := frame.NewLedger()
		ledger.Add(YearZero, Capital, capital)
		for year := 1; year <= frame.Years(); year++ {
			ledger.AddTwelve(year, Upkeep, upkeep)
			ledger.AddShares(year, Income, worth, shares)
			ledger.AddShares(year, IncomeLost, worth, shares)
			ledger.AddTwelve(year, Aftercare, upkeep)
		}
		flow := closed(b, ledger)
		if option == 0 {
			yardstick = flow
		}
		comparison, err := frame.Compare(flow, yardstick)
		if err != nil {
			b.Fatal(err)
		}
		paid += len(comparison.Payback.Outcome)
	}
	return paid
}

func BenchmarkCashFlowsOfAnAppraisal(b *testing.B) {
	for _, inflation := range []float64{0, 2.5} {
		b.Run(fmt.Sprintf("inflation %v%%", inflation), func(b *testing.B) {
			frame := timeline(b, 25, 3.5, inflation)
			var calendar [12]Money
			for i := range calendar {
				calendar[i] = money(b, "1234.56", "GBP")
			}
			worth, err := frame.ByCalendar(calendar)
			if err != nil {
				b.Fatal(err)
			}
			upkeep, err := frame.Evenly(money(b, "9000.05", "GBP"))
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				appraise(b, frame, upkeep, worth)
			}
		})
	}
}

func BenchmarkTimeline(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		timeline(b, 40, 3.5, 2.5)
	}
}

func BenchmarkBillOf40Lines(b *testing.B) {
	prices := pricesAt(b, DemoPriceBook(), Likely)
	var demands []Demand
	for i, item := range DemoPriceBook().Items[:40] {
		demands = append(demands, Demand{Section: fmt.Sprint("section ", i/7), Item: item.Item, Quantity: 12.3456 * float64(i+1)})
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, found := MakeBill(prices, demands, demoTerms()); len(found) > 0 {
			b.Fatal(found)
		}
	}
}

func BenchmarkReadPriceBookAtALevel(b *testing.B) {
	book := DemoPriceBook()
	b.ReportAllocs()
	for b.Loop() {
		pricesAt(b, book, Likely)
	}
}

func BenchmarkMoneyJSON(b *testing.B) {
	text := []byte(`{"amount":"12345.60","currency":"GBP"}`)
	b.Run("read", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			var m Money
			if err := json.Unmarshal(text, &m); err != nil {
				b.Fatal(err)
			}
		}
	})
	m := money(b, "12345.60", "GBP")
	b.Run("write", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := m.MarshalJSON(); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("refuse 2,000,000 digits", func(b *testing.B) {
		digits := strings.Repeat("9", 2_000_000)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := ParseMoney(digits, m.currency); err == nil {
				b.Fatal("taken")
			}
		}
	})
}
