package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"strconv"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/pages"
	"swardcase/api/report/workbook"
	"swardcase/api/service"
	"swardcase/cmd/swardcase/demo"
	"swardcase/costs"
	"swardcase/model"
)

var planCommand = command{
	name: "plan", arguments: "COURSE.json", summary: "Plan which green of a course gets which option in which year",
	detail: `
Reads the greens of a course and the terms of a plan, appraises every green for
every year in which works could start, and prints the best plan with a proven
bound: what is done when and why, money by year, condition with and without the
plan, what each rule costs, what more money would buy, and the plans that people
would draw by hand. As svg it draws the months out of play; as csv it has one row
for each green that is done; as xlsx it is a workbook whose sums and balances go on
computing. With --demo it plans the course of the
demonstration, and with --demo --format course it prints that document as one to
fill in. COURSE.json may be - for standard input.`,
	define: func(flags *flag.FlagSet) action {
		format := flags.String("format", "text", "print as `FORMAT`: text, json, csv, svg or xlsx; with --demo also course")
		output := flags.String("output", "", "write to `FILE` and not to standard output")
		ofDemo := flags.Bool("demo", false, "plan the course of the demonstration")
		return func(ctx context.Context, p *process, arguments []string) error {
			formats := []string{"text", "json", "csv", "svg", "xlsx"}
			if *ofDemo {
				formats = append(formats, "course")
			}
			if err := oneOf("plan", "format", *format, formats...); err != nil {
				return err
			}
			svc, document, err := p.openCourse(arguments, *ofDemo)
			if err != nil {
				return err
			}
			var out bytes.Buffer
			if err := planAs(ctx, &out, *format, svc, document); err != nil {
				return err
			}
			return (&printing{format: *format, output: *output}).deliver(p, "plan", out.Bytes())
		}
	},
}

// openCourse makes a service and reads the course for it: a file, or the
// demonstration's.
func (p *process) openCourse(arguments []string, ofDemo bool) (*service.Service, contract.Document, error) {
	none := contract.Document{}
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		return nil, none, err
	}
	var body []byte
	switch {
	case ofDemo && len(arguments) > 0:
		return nil, none, &usageError{"plan", "--demo has a course of its own; give no file"}
	case ofDemo:
		course, err := demo.Course()
		if err != nil {
			return nil, none, err
		}
		if body, err = json.Marshal(course); err != nil {
			return nil, none, fmt.Errorf("write the course: %w", err)
		}
	case len(arguments) != 1:
		return nil, none, &usageError{"plan", fmt.Sprintf("give one course, or - for standard input, or --demo; %d were given", len(arguments))}
	default:
		if body, err = p.readFile(arguments[0], contract.MaxBytes); err != nil {
			return nil, none, err
		}
	}
	document, err := svc.ReadCourse(body)
	return svc, document, err
}

// planAs plans the course and writes the plan, or writes the course itself.
func planAs(ctx context.Context, w io.Writer, format string, svc *service.Service, document contract.Document) error {
	if format == "course" {
		var course model.CourseCase
		if err := document.Decode(&course); err != nil {
			return err
		}
		return printJSON(w, course)
	}
	plan, err := service.As[model.CoursePlan](svc.PlanCourse(ctx, document))
	if err != nil {
		return err
	}
	return printPlan(w, format, plan)
}

func printPlan(w io.Writer, format string, plan model.CoursePlan) error {
	text, err := "", error(nil)
	switch format {
	case "json":
		return printJSON(w, plan)
	case "csv":
		text, err = planCSV(plan)
	case "xlsx":
		return workbook.WriteCoursePlan(w, plan)
	case "svg":
		text = pages.PlanCalendar(plan).SVG
	default:
		text = planText(plan)
	}
	if err != nil {
		return err
	}
	_, err = io.WriteString(w, text)
	return err
}

// planCSV has one row for each green that is done.
func planCSV(plan model.CoursePlan) (string, error) {
	var b strings.Builder
	w := csv.NewWriter(&b)
	rows := [][]string{{
		"year", "green", "option", "starts_on", "laid_on", "opens_on", "months_out_of_play", "works", "saved", "mobilisation_share", "capital",
		"currency", "net_present_value", "index_years", "reasons",
	}}
	month := func(m *costs.YearMonth) string {
		if m == nil {
			return ""
		}
		return m.String()
	}
	number := func(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }
	for _, k := range plan.Works {
		rows = append(rows, []string{
			strconv.Itoa(k.Year), costs.CellText(k.Green), string(k.Option), k.StartsOn.String(), month(k.LaidOn), month(k.OpensOn), number(k.MonthsOutOfPlay),
			k.Works.DecimalText(), k.Saved.DecimalText(), k.MobilisationShare.DecimalText(), k.Capital.DecimalText(), plan.Currency, k.NetPresentValue.DecimalText(),
			number(k.IndexYears), costs.CellText(strings.Join(k.Reasons, " ")),
		})
	}
	err := w.WriteAll(rows)
	return b.String(), err
}
