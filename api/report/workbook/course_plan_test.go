package workbook

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/xuri/excelize/v2"

	"swardcase/model"
	"swardcase/model/water"
)

// curves keeps the one curve that the greens of a course share.
type curves struct {
	key   string
	curve *water.Curve
}

func (c *curves) Keep(key string, make func() (*water.Curve, error)) (curve *water.Curve, err error) {
	if c.curve == nil || c.key != key {
		c.key = key
		c.curve, err = make()
	}
	return c.curve, err
}

// coursePlan plans the test course of six greens, which borrows and pays interest.
func coursePlan(t *testing.T) model.CoursePlan {
	t.Helper()
	body, err := os.ReadFile("../../../testdata/courses/six_greens.json")
	if err != nil {
		t.Fatal(err)
	}
	var c model.CourseCase
	if err := json.Unmarshal(body, &c); err != nil {
		t.Fatal(err)
	}
	plan, err := model.PlanCourse(t.Context(), c, &curves{}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return plan
}

// TestASpreadsheetOfACoursePlanComesToTheSame has LibreOffice Calc work out every
// formula anew and holds each to the plan's figure, and then changes a budget:
// every balance from that year on follows by as much.
func TestASpreadsheetOfACoursePlanComesToTheSame(t *testing.T) {
	plan := coursePlan(t)
	folder := t.TempDir()
	var written bytes.Buffer
	if err := WriteCoursePlan(&written, plan); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "plan.xlsx"), written.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	changed, err := excelize.OpenReader(bytes.NewReader(written.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	const sheet, firstRow, more = "Money by year", 4, 1000.25
	budget := plan.Cash[1].Budget.Float() + more
	if len(plan.Cash) < 3 || plan.Totals.Interest.Sign() <= 0 {
		t.Fatal("the plan has no years to carry over, or pays no interest")
	}
	if err := changed.SetCellValue(sheet, at(2, firstRow+1), budget); err != nil {
		t.Fatal(err)
	}
	if err := changed.SaveAs(filepath.Join(folder, "more.xlsx")); err != nil {
		t.Fatal(err)
	}
	recalculate(t, folder, []string{"plan.xlsx", "more.xlsx"})
	compareFormulas(t, filepath.Join(folder, "plan.xlsx"), filepath.Join(folder, "out", "plan.xlsx"), 80)

	figures := formulas(t, filepath.Join(folder, "out", "more.xlsx"))
	for i, year := range plan.Cash {
		want := year.Balance.Float()
		if i >= 1 {
			want += more
		}
		if got := figures[sheet+"!"+at(8, firstRow+i)]; math.Abs(got-want) > 0.001 {
			t.Errorf("with %.2f more in year 2, year %d carries %.2f on, want %.2f", more, year.Year, got, want)
		}
	}
}

// TestTheSameCoursePlanGivesTheSameBytes: a kept workbook can be compared.
func TestTheSameCoursePlanGivesTheSameBytes(t *testing.T) {
	plan := coursePlan(t)
	var first, second bytes.Buffer
	if err := WriteCoursePlan(&first, plan); err != nil {
		t.Fatal(err)
	}
	if err := WriteCoursePlan(&second, plan); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("two workbooks of one plan differ")
	}
}

// TestACourseWithoutAPlanHasAWorkbook: one that no plan fits says so.
func TestACourseWithoutAPlanHasAWorkbook(t *testing.T) {
	var written bytes.Buffer
	plan := model.CoursePlan{Currency: "GBP", Years: 3, FirstMonth: coursePlan(t).FirstMonth, Headline: "No plan keeps every rule.", Status: model.PlanInfeasible}
	if err := WriteCoursePlan(&written, plan); err != nil {
		t.Fatal(err)
	}
	file, err := excelize.OpenReader(&written)
	if err != nil {
		t.Fatal(err)
	}
	if got, err := file.GetCellValue("Plan", "A2"); err != nil || got != plan.Headline {
		t.Errorf("the plan says %q (%v)", got, err)
	}
}
