package main

import (
	"context"
	"flag"
	"io"

	"swardcase/api/service"
)

var climatesCommand = command{
	name:    "climates",
	summary: "List the built-in climates",
	detail: `
A case names one of them under site.climate.station, or gives its own
monthly_normals instead.`,
	define: func(*flag.FlagSet) action {
		return func(_ context.Context, p *process, arguments []string) error {
			if err := noArguments("climates", arguments); err != nil {
				return err
			}
			var out page
			out.title("Built-in climates")
			credits := []string{}
			for _, s := range service.Climates() {
				out.line("%s latitude %6.2f  longitude %6.2f  %4.0f m", left(s.Name, 24), s.LatitudeDeg, s.LongitudeDeg, s.ElevationM)
				if len(credits) == 0 || credits[len(credits)-1] != s.Source {
					credits = append(credits, s.Source)
				}
			}
			out.line("")
			for _, credit := range credits {
				out.paragraph(credit)
			}
			_, err := io.WriteString(p.stdout, out.String())
			return err
		}
	},
}
