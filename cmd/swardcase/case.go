package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"swardcase/api/contract"
	"swardcase/api/service"
)

// openCase makes a service without a store and reads the case for it.
func (p *process) openCase(name string, arguments []string) (*service.Service, contract.Document, error) {
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		return nil, contract.Document{}, err
	}
	document, err := p.readCase(svc, name, arguments)
	return svc, document, err
}

// readCase reads and checks the one case that a command is given: a file, or
// standard input when its name is "-".
func (p *process) readCase(svc *service.Service, name string, arguments []string) (contract.Document, error) {
	if len(arguments) != 1 {
		return contract.Document{}, &usageError{name, fmt.Sprintf("give one case, or - for standard input; %d were given", len(arguments))}
	}
	body, err := p.readFile(arguments[0], contract.MaxBytes)
	if err != nil {
		return contract.Document{}, err
	}
	return svc.ReadCase(body)
}

// recordFlag offers a daily weather record beside the case.
func recordFlag(flags *flag.FlagSet) *string {
	return flags.String("record", "", "put the daily weather record in `FILE.csv` into the case")
}

// withRecord puts the record in a file into the case, where one is named.
func (p *process) withRecord(svc *service.Service, document contract.Document, path string) (contract.Document, error) {
	if path == "" {
		return document, nil
	}
	file, err := os.Open(path)
	if err != nil {
		return contract.Document{}, err
	}
	defer file.Close()
	return svc.WithRecord(document, file)
}

// readFile reads a file, or standard input when its name is "-". It stops one byte
// after the most that it may have, so that a device or an endless pipe cannot
// fill the memory.
func (p *process) readFile(path string, mostBytes int64) ([]byte, error) {
	source := p.stdin
	if path != "-" {
		file, err := os.Open(path)
		if err != nil {
			return nil, err
		}
		defer file.Close()
		source = file
	}
	body, err := io.ReadAll(io.LimitReader(source, mostBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read the document: %w", err)
	}
	return body, nil
}

// reportError says on standard error what went wrong: each fault with its
// place, what was given and what to write instead.
func reportError(stderr io.Writer, err error) {
	faults := service.Faults(err)
	if len(faults) == 0 {
		fmt.Fprintf(stderr, "swardcase: %v\n", err)
		return
	}
	var p page
	p.line("swardcase: %s", strings.ToLower(service.KindOf(err).Outcome().Title))
	for _, f := range contract.Capped(faults) {
		where := f.Pointer
		if where == "" {
			where = "(the whole document)"
		}
		p.line("")
		p.paragraph(where)
		p.hanging("  ", f.Detail)
		if f.Value != "" {
			p.hanging("  given:  ", f.Value)
		}
		p.hanging("  remedy: ", f.Remedy)
	}
	io.WriteString(stderr, p.String())
}
