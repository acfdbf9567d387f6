package pages

import (
	"bytes"
	"net/http"

	"github.com/labstack/echo/v4"

	"swardcase/api/report/workbook"
)

// sendWorkbook sends an appraisal as a spreadsheet, to be saved.
func (p *Pages) sendWorkbook(v Visit, from source) error {
	a, err := from.answer()
	if err != nil {
		return err
	}
	var file bytes.Buffer
	if err := workbook.Write(&file, a); err != nil {
		return err
	}
	return sendWorkbookFile(v, "appraisal-"+from.stored.ID, file.Bytes())
}

// sendWorkbookFile sends a workbook to be saved under a name.
func sendWorkbookFile(v Visit, name string, file []byte) error {
	header := v.Response().Header()
	header.Set(echo.HeaderContentDisposition, `attachment; filename="`+name+`.xlsx"`)
	header.Set(echo.HeaderCacheControl, "no-store")
	return send(v, http.StatusOK, workbook.MediaType, file)
}
