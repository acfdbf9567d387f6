package main

import (
	"unicode/utf8"

	"swardcase/costs"
)

// tableRow is a row of a table: a name, figures set to the right, and a word
// behind them, or none.
type tableRow struct {
	name    string
	figures []string
	word    string
}

// shortestName is the least width of the column of names: it holds the longest
// name of an option with its mark.
const shortestName = 35

// moneyTable prints a table whose figures hold money. The columns have their
// usual widths, or more where a figure needs it; amounts that would then run off
// the page are cut to three digits. rows makes the table from a way of writing
// amounts.
func (p *page) moneyTable(usual []int, rows func(write func(costs.Money) string) []tableRow) {
	table := rows(costs.Money.Whole)
	widths, full := columnWidths(table, usual)
	if full > textWidth {
		table = rows(costs.Money.Short)
		widths, _ = columnWidths(table, make([]int, len(usual)))
	}
	name := nameWidth(table)
	for _, row := range table {
		line := left(row.name, name)
		for i, figure := range row.figures {
			line += right(figure, widths[i])
		}
		p.line("%s  %s", line, row.word)
	}
}

// columnWidths gives each column of figures its least width or its longest
// figure and a space, whichever is more, and the length of the longest line.
func columnWidths(rows []tableRow, least []int) (widths []int, full int) {
	widths = append(widths, least...)
	word := 0
	for _, row := range rows {
		for i, figure := range row.figures {
			widths[i] = max(widths[i], utf8.RuneCountInString(figure)+1)
		}
		if row.word != "" {
			word = max(word, utf8.RuneCountInString(row.word)+2)
		}
	}
	full = nameWidth(rows) + word
	for _, width := range widths {
		full += width
	}
	return widths, full
}

func nameWidth(rows []tableRow) int {
	width := shortestName
	for _, row := range rows {
		width = max(width, utf8.RuneCountInString(row.name))
	}
	return width
}

// longest is the length of the longest text.
func longest(texts []string) int {
	most := 0
	for _, text := range texts {
		most = max(most, utf8.RuneCountInString(text))
	}
	return most
}
