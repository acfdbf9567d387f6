package climate

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"swardcase/model/fault"
)

const (
	// maxRecordBytes bounds a record as text: 200 years in the longest sensible
	// form.
	maxRecordBytes = 16 << 20
	// maxLineBytes bounds a line of CSV, so that a file of commas cannot become
	// millions of cells.
	maxLineBytes = 1000
)

// recordColumns are the columns of a record as CSV, in any order; the date and
// one other are needed.
var recordColumns = []string{"date", "rain_mm", "temperature_max_c", "temperature_min_c"}

// ParseRecordCSV reads a daily record: a header that names the columns, one row
// for each day, an empty cell for what was not read; lines that start with # are
// passed over. Pointers are those of NewRecord, counting rows below the header
// from 0.
func ParseRecordCSV(r io.Reader) (Record, fault.List) {
	limited := &io.LimitedReader{R: r, N: maxRecordBytes + 1}
	reader := csv.NewReader(&shortLines{r: limited})
	reader.Comment = '#'
	reader.FieldsPerRecord = -1
	reader.ReuseRecord = true
	header, err := reader.Read()
	if err != nil {
		return Record{}, unreadable(err)
	}
	columns, faults := readHeader(header)
	if len(faults) > 0 {
		return Record{}, faults
	}
	readings, rows, err := readRows(reader, columns)
	if err == nil && limited.N <= 0 {
		err = errTooLong
	}
	if err != nil {
		return Record{}, append(rows.all(), unreadable(err)...)
	}
	record, faults := NewRecord(readings)
	if faults = append(rows.all(), faults...); len(faults) > 0 {
		return Record{}, faults
	}
	return record, nil
}

// shortLines passes a reader on until a line is longer than maxLineBytes.
type shortLines struct {
	r      io.Reader
	length int
}

func (s *shortLines) Read(p []byte) (int, error) {
	n, err := s.r.Read(p)
	for _, c := range p[:n] {
		if s.length++; c == '\n' {
			s.length = 0
		}
		if s.length > maxLineBytes {
			return 0, fmt.Errorf("a line is longer than %d bytes", maxLineBytes)
		}
	}
	return n, err
}

var errTooLong = fmt.Errorf("it is longer than %d MB", maxRecordBytes>>20)

func unreadable(err error) fault.List {
	var faults fault.List
	detail := err.Error()
	if errors.Is(err, io.EOF) {
		detail = "it is empty"
	}
	faults.Add("", nil, "the record cannot be read: "+fault.Shorten(detail),
		"give a header with date, rain_mm, temperature_max_c and temperature_min_c, and one row for each day")
	return faults
}

// readHeader returns the position of each of recordColumns, or -1.
func readHeader(header []string) ([]int, fault.List) {
	var faults fault.List
	columns := []int{-1, -1, -1, -1}
	for i, cell := range header {
		name := strings.TrimSpace(strings.TrimPrefix(cell, "\ufeff"))
		switch at := slices.Index(recordColumns, name); {
		case at < 0:
			faults.Add("", name, "is not a column of a daily record", "name the columns "+strings.Join(recordColumns, ", "))
		case columns[at] >= 0:
			faults.Add("", name, "is named twice in the header", "keep one of the two columns")
		default:
			columns[at] = i
		}
		if len(faults) == maxRowFaults {
			break
		}
	}
	if columns[0] < 0 || max(columns[1], columns[2], columns[3]) < 0 {
		faults.Add("", nil, "the header names no date or nothing beside it", "name the column date and at least one of "+strings.Join(recordColumns[1:], ", "))
	}
	return columns, faults
}

// readRows turns rows into readings. A row with a bad cell is named and kept
// without it, so that the rows after it keep their places. The error is one that
// makes the rest unreadable.
func readRows(reader *csv.Reader, columns []int) ([]DailyReading, *rowFaults, error) {
	var readings []DailyReading
	faults := &rowFaults{}
	for {
		cells, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return readings, faults, nil
		}
		if err != nil {
			return nil, faults, err
		}
		if len(readings) == maxRecordDays {
			return nil, faults, fmt.Errorf("it has more than %d rows", maxRecordDays)
		}
		reading, bad := readRow(len(readings), cells, columns)
		if len(bad) > 0 {
			faults.add(bad)
		}
		readings = append(readings, reading)
	}
}

func readRow(i int, cells []string, columns []int) (DailyReading, fault.List) {
	var bad fault.List
	cell := func(column int) string {
		if at := columns[column]; at >= 0 && at < len(cells) {
			return strings.TrimSpace(cells[at])
		}
		return ""
	}
	number := func(column int) *float64 {
		text := cell(column)
		if text == "" {
			return nil
		}
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			bad.Add(fault.Pointer(i, recordColumns[column]), text, "on "+fault.Shorten(cell(0))+" is not a number",
				"write the reading with a decimal point, or leave the cell empty if it was not taken")
			return nil
		}
		return &v
	}
	return DailyReading{
		Date: strings.Clone(cell(0)), RainMM: number(1), TemperatureMaxC: number(2), TemperatureMinC: number(3),
	}, bad
}

// ParseRecordJSON reads a daily record as a JSON array of readings.
func ParseRecordJSON(r io.Reader) (Record, fault.List) {
	limited := &io.LimitedReader{R: r, N: maxRecordBytes + 1}
	readings, err := decodeReadings(json.NewDecoder(limited))
	if limited.N <= 0 {
		err = errTooLong
	}
	if err != nil {
		faults := unreadable(err)
		faults[0].Remedy = "give a JSON array of objects with date, rain_mm, temperature_max_c and temperature_min_c"
		return Record{}, faults
	}
	return NewRecord(readings)
}

// decodeReadings takes one reading at a time, so that a list that is too long is
// given up early.
func decodeReadings(decoder *json.Decoder) ([]DailyReading, error) {
	decoder.DisallowUnknownFields()
	if open, err := decoder.Token(); err != nil || open != json.Delim('[') {
		return nil, errors.Join(errors.New("it does not start with a list"), err)
	}
	var readings []DailyReading
	for decoder.More() {
		if len(readings) == maxRecordDays {
			return nil, fmt.Errorf("it has more than %d readings", maxRecordDays)
		}
		var reading DailyReading
		if err := decoder.Decode(&reading); err != nil {
			return nil, err
		}
		readings = append(readings, reading)
	}
	if _, err := decoder.Token(); err != nil {
		return nil, err
	}
	if _, err := decoder.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows the list of readings")
	}
	return readings, nil
}
