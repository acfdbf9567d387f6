package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"swardcase/api/service"
	"swardcase/api/store"
	"swardcase/cmd/swardcase/demo"
	"swardcase/model"
)

var demoCommand = command{
	name:    "demo",
	summary: "Appraise three greens of an invented club, then serve the API",
	detail: `
Club, greens, readings and prices are invented. It keeps the club's 18 greens
with three years of surveys and an appraisal of each, in a temporary folder or
in that of --data, and serves them on ` + defaultAddress + `, or on a free
port where that one is busy, until it is interrupted. A folder that holds the
club already is opened as it is.`,
	define: func(flags *flag.FlagSet) action {
		once := flags.Bool("once", false, "print the three appraisals and stop")
		folder := flags.String("data", "", "keep the club in `FOLDER`, and open it there the next time")
		return func(ctx context.Context, p *process, arguments []string) error {
			if err := noArguments("demo", arguments); err != nil {
				return err
			}
			if err := p.printDemo(ctx); err != nil {
				return err
			}
			if *once {
				return nil
			}
			return p.serveDemo(ctx, *folder)
		}
	},
}

// demoFile is the name of the store in its folder.
const demoFile = "swardcase.db"

// printDemo appraises the demonstration's whole cases in the order of play.
func (p *process) printDemo(ctx context.Context) error {
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		return err
	}
	cases, err := demo.Cases()
	if err != nil {
		return err
	}
	for i, c := range cases {
		document, err := svc.ReadCase(c.Body)
		if err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		appraisal, err := service.As[model.Appraisal](svc.Appraise(ctx, document))
		if err != nil {
			return fmt.Errorf("%s: %w", c.Name, err)
		}
		text := appraisalText(appraisal)
		if i > 0 {
			text = "\n\n" + text
		}
		if _, err := io.WriteString(p.stdout, text); err != nil {
			return err
		}
	}
	return nil
}

// serveDemo serves the club from a folder, or from a temporary one that is gone
// afterwards.
func (p *process) serveDemo(ctx context.Context, folder string) (err error) {
	if folder == "" {
		if folder, err = os.MkdirTemp("", "swardcase-demo-"); err != nil {
			return err
		}
		defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	}
	file, err := p.demoStore(ctx, folder)
	if err != nil {
		return err
	}
	svc, leave, err := openService(ctx, store.Place{File: file})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, leave()) }()
	listener, err := listen(defaultAddress, true)
	if err != nil {
		return err
	}
	return p.serve(ctx, listener, svc)
}

// demoStore names the store in a folder, and makes and fills it where there is
// none. It is filled under another name, so that a store of that name is always
// whole.
func (p *process) demoStore(ctx context.Context, folder string) (file string, err error) {
	file = filepath.Join(folder, demoFile)
	if _, err := os.Stat(file); !errors.Is(err, fs.ErrNotExist) {
		return file, err
	}
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", err
	}
	filling, err := os.MkdirTemp(folder, "filling-")
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(filling)) }()
	unfinished := filepath.Join(filling, demoFile)
	if err := p.fillDemo(ctx, unfinished); err != nil {
		return "", err
	}
	return file, os.Rename(unfinished, file)
}

// fillDemo keeps the club in a new store, which it closes again.
func (p *process) fillDemo(ctx context.Context, file string) (err error) {
	club, err := demo.ClubOfThornmere()
	if err != nil {
		return err
	}
	svc, leave, err := openService(ctx, store.Place{File: file})
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, leave()) }()
	fmt.Fprintf(p.stdout, "\nKeeping %s: %d greens, their surveys and an appraisal of each ...\n", club.Input.Name, len(club.Greens))
	_, err = club.Keep(ctx, svc)
	return err
}
