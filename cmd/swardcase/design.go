package main

import (
	"context"
	"flag"
	"fmt"
	"io"

	"swardcase/api/service"
	"swardcase/model"
)

// designView is what of a design is wanted, and in which form.
type designView struct {
	format, drawing, layout, option string
}

var designCommand = command{
	name: "design", arguments: "CASE.json", summary: "Design the works on one green",
	detail: `
Reads a case and prints what the works would be built as: measures of the
outline, drain runs with their levels, quantities, weeks, and the verdict on
the materials. Without an outline the drains are reckoned from area and
perimeter. As svg it draws the plan, or the section through the profile; as
geojson it gives the drain runs in longitude and latitude, for which an outline
in metres needs its origin. CASE.json may be - for standard input.`,
	define: func(flags *flag.FlagSet) action {
		var view designView
		flags.StringVar(&view.format, "format", "text", "print as `FORMAT`: text, json, svg or geojson")
		flags.StringVar(&view.drawing, "drawing", "plan", "as svg, draw the `DRAWING`: plan or section")
		flags.StringVar(&view.layout, "layout", "", "show the `LAYOUT`: herringbone, perimeter_main or slits; else the one used")
		flags.StringVar(&view.option, "option", string(model.UsualRebuild), "show quantities and section of the `OPTION`")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := view.check(); err != nil {
				return err
			}
			svc, document, err := p.openCase("design", arguments)
			if err != nil {
				return err
			}
			report, err := service.As[model.DesignReport](svc.DesignWorks(ctx, document))
			if err != nil {
				return err
			}
			return view.print(p.stdout, report)
		}
	},
}

func (v designView) check() error {
	if err := oneOf("design", "format", v.format, "text", "json", "svg", "geojson"); err != nil {
		return err
	}
	if err := oneOf("design", "drawing", v.drawing, "plan", "section"); err != nil {
		return err
	}
	if v.layout != "" {
		if err := oneOf("design", "layout", v.layout, "herringbone", "perimeter_main", model.SlitLayout); err != nil {
			return err
		}
	}
	var options []string
	for _, o := range model.OptionsWithWorks() {
		options = append(options, string(o))
	}
	return oneOf("design", "option", v.option, options...)
}

func (v designView) print(w io.Writer, report model.DesignReport) error {
	text, err := "", error(nil)
	switch {
	case v.format == "json":
		return printJSON(w, report)
	case v.format == "geojson":
		var runs []byte
		runs, err = report.RunsGeoJSON(v.layout)
		text = string(runs) + "\n"
	case v.format == "svg" && v.drawing == "section":
		text, err = report.DrawSection(model.Option(v.option))
	case v.format == "svg":
		text, err = report.DrawPlan(v.layout)
	default:
		text, err = designText(report, v)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Fprint(w, text)
	return err
}
