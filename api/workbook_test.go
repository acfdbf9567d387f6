package api_test

import (
	"mime"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3filter"
	"github.com/xuri/excelize/v2"

	"swardcase/api/report/workbook"
)

// The library that checks answers must be told that a workbook is a file.
func init() { openapi3filter.RegisterBodyDecoder(workbook.MediaType, openapi3filter.FileBodyDecoder) }

// checkWorkbook reads the workbook of an appraisal and holds its capital to that of
// the answer.
func (k *keeping) checkWorkbook(t *testing.T, appraisal thing) {
	t.Helper()
	w := k.get(appraisal.location + "/workbook")
	wantStatus(t, w, 200)
	disposition, parameters, err := mime.ParseMediaType(w.Header().Get("Content-Disposition"))
	if w.Header().Get("Content-Type") != workbook.MediaType || err != nil || disposition != "attachment" || parameters["filename"] != "appraisal-"+appraisal.ID+".xlsx" {
		t.Errorf("it came as %v", w.Header())
	}
	file, err := excelize.OpenReader(w.Body)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := file.GetRows("Summary", excelize.Options{RawCellValue: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		if strings.HasPrefix(row0(row), "▸ ") {
			if len(row) < 4 || !strings.Contains(appraisal.body, `"capital":{"amount":"`+row[3]+`"`) {
				t.Errorf("the option advised has %q; the answer was %s", row, appraisal.body)
			}
			return
		}
	}
	t.Error("no option is advised")
}

func row0(row []string) string {
	if len(row) == 0 {
		return ""
	}
	return row[0]
}
