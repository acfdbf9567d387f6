package service

import (
	"encoding/json"
	"fmt"
	"io"

	"swardcase/api/contract"
	"swardcase/model/climate"
	"swardcase/model/fault"
)

// WithRecord puts a daily weather record, as CSV, into a case that has passed its
// check, in place of one that it may have. The error is a fault.List for what is
// wrong with the record; the whole case is checked again, its size included.
func (s *Service) WithRecord(document contract.Document, csv io.Reader) (contract.Document, error) {
	record, bad := climate.ParseRecordCSV(csv)
	if len(bad) > 0 {
		var faults fault.List
		faults.Under("/site/climate/daily_record", bad)
		return contract.Document{}, faults
	}
	var whole map[string]json.RawMessage
	var site struct {
		Latitude json.RawMessage            `json:"latitude_deg"`
		Climate  map[string]json.RawMessage `json:"climate"`
	}
	if err := document.Decode(&whole); err != nil {
		return contract.Document{}, err
	}
	if err := json.Unmarshal(whole["site"], &site); err != nil {
		return contract.Document{}, fmt.Errorf("read the site of a checked case: %w", err)
	}
	var err error
	if site.Climate["daily_record"], err = json.Marshal(record.Readings()); err != nil {
		return contract.Document{}, fmt.Errorf("write the record into the case: %w", err)
	}
	if whole["site"], err = json.Marshal(site); err != nil {
		return contract.Document{}, fmt.Errorf("write the record into the case: %w", err)
	}
	body, err := json.Marshal(whole)
	if err != nil {
		return contract.Document{}, fmt.Errorf("write the record into the case: %w", err)
	}
	return s.ReadCase(body)
}
