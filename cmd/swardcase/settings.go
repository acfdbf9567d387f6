package main

import (
	"cmp"
	"flag"
	"fmt"
	"strings"

	"swardcase/model/fault"
)

// setting is one thing that can be set for the service: by its flag, or else by
// its environment variable, or else it is as it usually is.
type setting struct {
	flag     string // empty where only the environment may give it
	variable string
	usually  string // the default as it is read; empty for none
	// otherwise says in words what holds when nothing is given and there is no
	// default to read.
	otherwise string
	value     string // what kind of value it is, in the words of the help
	means     string
	remedy    string // what to write instead of a wrong value
	secret    bool   // whether the value may not be repeated
	// read takes the value into the configuration, or says what is wrong with it.
	// It is nil where another setting's reading takes this one too.
	read func(*configuration, string) error
}

// name is what a complaint calls the setting.
func (s setting) name() string {
	if s.flag == "" {
		return s.variable
	}
	return "--" + s.flag + " (" + s.variable + ")"
}

// byDefault is what holds when nothing is given.
func (s setting) byDefault() string { return cmp.Or(s.usually, s.otherwise) }

// settingFaults is every complaint about a configuration.
type settingFaults []string

func (f settingFaults) Error() string {
	return "the service cannot start as it is set:\n" + strings.Join(f, "\n")
}

func (f *settingFaults) add(s setting, value, detail string) {
	if s.secret {
		value = "(not shown)"
	}
	*f = append(*f, fmt.Sprintf("  %s is %q: %s; %s", s.name(), fault.Shorten(value), detail, s.remedy))
}

// settingFlags declares the flags of every setting, but for those that are there
// already, and returns how to read the configuration once they are parsed.
func settingFlags(flags *flag.FlagSet) func(env func(string) string) (configuration, error) {
	given := map[string]*string{}
	for _, s := range settings {
		if s.flag != "" && flags.Lookup(s.flag) == nil {
			given[s.flag] = flags.String(s.flag, "", "`"+s.value+"`: "+s.means+" (usually "+s.byDefault()+")")
		}
	}
	return func(env func(string) string) (configuration, error) {
		return readSettings(func(s setting) string {
			if value := given[s.flag]; value != nil && *value != "" {
				return *value
			}
			return env(s.variable)
		})
	}
}

// readSettings reads every setting and then looks at them together, so that all
// that is wrong is said at once.
func readSettings(look func(setting) string) (configuration, error) {
	var c configuration
	var faults settingFaults
	for _, s := range settings {
		value := cmp.Or(look(s), s.usually)
		if value == "" || s.read == nil {
			continue
		}
		if err := s.read(&c, value); err != nil {
			faults.add(s, value, err.Error())
		}
	}
	faults = append(faults, c.contradictions()...)
	if len(faults) > 0 {
		return c, faults
	}
	return c, nil
}
