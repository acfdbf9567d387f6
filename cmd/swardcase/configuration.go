package main

import (
	"errors"
	"fmt"
	"log/slog"
	"net/netip"
	"net/url"
	"os"
	"runtime"
	"strconv"
	"strings"
	"time"

	"swardcase/api"
	"swardcase/api/store"
)

// configuration is what the service is started with. The zero value of a field is
// what holds when its setting has no value.
type configuration struct {
	address string
	// openToLocal is found out and not set: see openToLocal.
	openToLocal    bool
	privateAddress string
	privateExposed bool
	certificate    string
	key            string
	trusted        []netip.Prefix
	limits         api.Limits
	computations   int
	// planWorkers is nil for the usual number.
	planWorkers *int
	connections int
	// addressConnections is how many one address may have open; 0 for any number.
	addressConnections int
	stopDeadline       time.Duration
	drainDelay         time.Duration
	logLevel           slog.Level
	logFormat          string
	traceEndpoint      string
}

// settings is the one list of what can be set, in the order in which it is shown.
// README.md has it as a table, which a test holds to it.
var settings = []setting{
	{
		flag: "address", variable: "SWARDCASE_ADDRESS", usually: defaultAddress, value: "HOST:PORT",
		means:  "where the service listens",
		remedy: "write an address and a port, such as " + defaultAddress,
		read:   func(c *configuration, v string) error { return readAddress(&c.address, v) },
	},
	{
		flag: "store", variable: "SWARDCASE_STORE", otherwise: "nothing is kept", value: "FILE",
		means: "the SQLite file that things are kept in; the flag goes before DATABASE_URL, the variable after it",
	},
	{
		variable: "DATABASE_URL", otherwise: "none", secret: true,
		means:  "the PostgreSQL database that things are kept in",
		remedy: "write postgres://USER@HOST:PORT/NAME",
		read: func(_ *configuration, v string) error {
			if store.CheckURL(v) != nil {
				return errors.New("that is no address of a database")
			}
			return nil
		},
	},
	{
		flag: "trusted-proxies", variable: "SWARDCASE_TRUSTED_PROXIES", otherwise: "none", value: "LIST",
		means:  "networks of the proxies whose X-Forwarded-For is believed",
		remedy: "write networks with a comma between them, such as 10.1.2.0/24,fd00::/64",
		read:   readProxies,
	},
	{
		flag: "tls-certificate", variable: "SWARDCASE_TLS_CERTIFICATE", otherwise: "no TLS", value: "FILE",
		means:  "the certificate and those above it, in PEM",
		remedy: "give a file that can be read",
		read:   func(c *configuration, v string) error { return readFileName(&c.certificate, v) },
	},
	{
		flag: "tls-key", variable: "SWARDCASE_TLS_KEY", otherwise: "no TLS", value: "FILE",
		means:  "the certificate's private key, in PEM",
		remedy: "give a file that can be read",
		read:   func(c *configuration, v string) error { return readFileName(&c.key, v) },
	},
	{
		flag: "address-rate", variable: "SWARDCASE_ADDRESS_RATE", usually: "100", value: "NUMBER",
		means:  "requests a second from one address, kept up; 0 for no limit",
		remedy: "write a number from 0 to 100000",
		read:   func(c *configuration, v string) error { return readRate(&c.limits.Address.PerSecond, v) },
	},
	{
		flag: "address-burst", variable: "SWARDCASE_ADDRESS_BURST", usually: "200", value: "NUMBER",
		means:  "requests of one address that may come at once after a rest",
		remedy: "write a whole number from 1 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.limits.Address.Burst, v, 1) },
	},
	{
		flag: "address-under-way", variable: "SWARDCASE_ADDRESS_UNDER_WAY", usually: "64", value: "NUMBER",
		means:  "requests of one address that may be under way at once; 0 for no limit",
		remedy: "write a whole number from 0 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.limits.AddressUnderWay, v, 0) },
	},
	{
		flag: "key-rate", variable: "SWARDCASE_KEY_RATE", usually: "50", value: "NUMBER",
		means:  "requests a second with one key, kept up; 0 for no limit",
		remedy: "write a number from 0 to 100000",
		read:   func(c *configuration, v string) error { return readRate(&c.limits.Key.PerSecond, v) },
	},
	{
		flag: "key-burst", variable: "SWARDCASE_KEY_BURST", usually: "100", value: "NUMBER",
		means:  "requests with one key that may come at once after a rest",
		remedy: "write a whole number from 1 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.limits.Key.Burst, v, 1) },
	},
	{
		flag: "under-way", variable: "SWARDCASE_UNDER_WAY", usually: "1000", value: "NUMBER",
		means:  "requests that may be under way at once in this process; 0 for no limit",
		remedy: "write a whole number from 0 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.limits.UnderWay, v, 0) },
	},
	{
		flag: "body-mib", variable: "SWARDCASE_BODY_MIB", usually: "256", value: "NUMBER",
		means:  "MiB of long request bodies held at once in this process; 0 for no limit",
		remedy: "write a whole number from 0 to 100000",
		read: func(c *configuration, v string) error {
			var mib int
			err := readCount(&mib, v, 0)
			c.limits.BodyBytes = int64(mib) << 20
			return err
		},
	},
	{
		flag: "computations", variable: "SWARDCASE_COMPUTATIONS", usually: "", otherwise: "8 for each processor", value: "NUMBER",
		means:  "documents checked and computed at once in this process",
		remedy: "write a whole number from 1 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.computations, v, 1) },
	},
	{
		flag: "plan-workers", variable: "SWARDCASE_PLAN_WORKERS", otherwise: "half of the processors", value: "NUMBER",
		means:  "course plans worked on at once in this process; 0 leaves them to others",
		remedy: "write a whole number from 0 to 100000",
		read: func(c *configuration, v string) error {
			c.planWorkers = new(int)
			return readCount(c.planWorkers, v, 0)
		},
	},
	{
		flag: "connections", variable: "SWARDCASE_CONNECTIONS", usually: "12000", value: "NUMBER",
		means:  "connections open at once, at most 200 fewer than files may be open; others wait",
		remedy: "write a whole number from 1 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.connections, v, 1) },
	},
	{
		flag: "address-connections", variable: "SWARDCASE_ADDRESS_CONNECTIONS", usually: "1000", value: "NUMBER",
		means:  "connections of one address that is no trusted proxy; 0 for no limit",
		remedy: "write a whole number from 0 to 100000",
		read:   func(c *configuration, v string) error { return readCount(&c.addressConnections, v, 0) },
	},
	{
		flag: "private-address", variable: "SWARDCASE_PRIVATE_ADDRESS", otherwise: "none", value: "HOST:PORT",
		means:  "where /metrics, /healthz, /readyz and, on loopback only, /debug/pprof/ are served",
		remedy: "write a loopback address and a port, such as 127.0.0.1:8481",
		read:   func(c *configuration, v string) error { return readAddress(&c.privateAddress, v) },
	},
	{
		flag: "private-exposed", variable: "SWARDCASE_PRIVATE_EXPOSED", usually: "no", value: "yes|no",
		means:  "whether the private address may be other than loopback",
		remedy: "write yes or no",
		read:   func(c *configuration, v string) error { return readYes(&c.privateExposed, v) },
	},
	{
		flag: "trace-endpoint", variable: "SWARDCASE_TRACE_ENDPOINT", otherwise: "no traces", value: "URL",
		means:  "where OpenTelemetry traces are sent by OTLP over HTTP",
		remedy: "write an address such as http://127.0.0.1:4318, without a password",
		read:   readEndpoint,
	},
	{
		flag: "log-level", variable: "SWARDCASE_LOG_LEVEL", usually: "info", value: "LEVEL",
		means:  "what is logged: debug, info, warn or error, and what is graver",
		remedy: "write debug, info, warn or error",
		read:   readLevel,
	},
	{
		flag: "log-format", variable: "SWARDCASE_LOG_FORMAT", usually: "json", value: "json|text",
		means:  "how it is logged",
		remedy: "write json or text",
		read:   readFormat,
	},
	{
		flag: "drain-delay", variable: "SWARDCASE_DRAIN_DELAY", usually: "0s", value: "DURATION",
		means:  "how long the service goes on, not ready, once it is told to stop, so that a proxy notices",
		remedy: "write a time of up to 5m, such as 5s",
		read:   func(c *configuration, v string) error { return readDuration(&c.drainDelay, v, 0) },
	},
	{
		flag: "stop-deadline", variable: "SWARDCASE_STOP_DEADLINE", usually: "25s", value: "DURATION",
		means:  "how long requests under way may then take to finish",
		remedy: "write a time from 1s to 5m, such as 25s",
		read:   func(c *configuration, v string) error { return readDuration(&c.stopDeadline, v, time.Second) },
	},
}

// contradictions are complaints about settings that do not go together.
func (c configuration) contradictions() []string {
	var all []string
	if (c.certificate == "") != (c.key == "") {
		all = append(all, "  --tls-certificate and --tls-key go together, and only one is given; give both, or neither behind a proxy that speaks TLS")
	}
	if c.privateAddress != "" && !c.privateExposed && !isLoopback(c.privateAddress) {
		all = append(all, fmt.Sprintf("  --private-address (SWARDCASE_PRIVATE_ADDRESS) is %q, which is not loopback: it has no keys; "+
			"choose a loopback address, or set --private-exposed yes where a firewall keeps others out", c.privateAddress))
	}
	if c.privateAddress != "" && c.privateAddress == c.address && !strings.HasSuffix(c.address, ":0") {
		all = append(all, "  --private-address is the same as --address; choose another port")
	}
	return all
}

// mostAtOnce is how many computations the process takes on at once.
func (c configuration) mostAtOnce() int {
	if c.computations > 0 {
		return c.computations
	}
	return 8 * runtime.GOMAXPROCS(0)
}

// workers is how many course plans the process works on at once: requests keep at
// least half of the processors to themselves.
func (c configuration) workers() int {
	if c.planWorkers != nil {
		return *c.planWorkers
	}
	return max(1, runtime.GOMAXPROCS(0)/2)
}

func readAddress(into *string, value string) error {
	at, err := netip.ParseAddrPort(strings.Replace(value, "localhost:", "127.0.0.1:", 1))
	if strings.HasPrefix(value, ":") { // every address of the machine
		at, err = netip.ParseAddrPort("[::]" + value)
	}
	if err != nil || at.Addr().Zone() != "" {
		return errors.New("that is no address with a port")
	}
	*into = at.String()
	return nil
}

// isLoopback says of a value that readAddress has read whether only this machine
// reaches it.
func isLoopback(address string) bool {
	at, err := netip.ParseAddrPort(address)
	return err == nil && at.Addr().Unmap().IsLoopback()
}

func readProxies(c *configuration, value string) error {
	for part := range strings.SplitSeq(value, ",") {
		part = strings.TrimSpace(part)
		prefix, err := netip.ParsePrefix(part)
		if err != nil {
			address, errAddress := netip.ParseAddr(part)
			if errAddress != nil || address.Zone() != "" {
				return fmt.Errorf("%q is no network", part)
			}
			prefix = netip.PrefixFrom(address, address.BitLen())
		}
		if prefix.Bits() == 0 {
			return fmt.Errorf("%q takes in everybody, who could then call under any address", part)
		}
		c.trusted = append(c.trusted, prefix.Masked())
	}
	return nil
}

// readFileName makes sure that a file can be read, and keeps its name.
func readFileName(into *string, value string) error {
	file, err := os.Open(value)
	if err != nil {
		return errors.Unwrap(err) // the value is named already
	}
	*into = value
	return file.Close()
}

// mostOfAnything is far above every sensible limit.
const mostOfAnything = 100_000

func readRate(into *float64, value string) error {
	rate, err := strconv.ParseFloat(value, 64)
	if err != nil || !(rate >= 0 && rate <= mostOfAnything) {
		return errors.New("that is no such number")
	}
	*into = rate
	return nil
}

func readCount(into *int, value string, least int) error {
	count, err := strconv.Atoi(value)
	if err != nil || count < least || count > mostOfAnything {
		return errors.New("that is no such number")
	}
	*into = count
	return nil
}

const mostTime = 5 * time.Minute

func readDuration(into *time.Duration, value string, least time.Duration) error {
	duration, err := time.ParseDuration(value)
	if err != nil || duration < least || duration > mostTime {
		return errors.New("that is no such time")
	}
	*into = duration
	return nil
}

func readYes(into *bool, value string) error {
	if value != "yes" && value != "no" {
		return errors.New("that is neither")
	}
	*into = value == "yes"
	return nil
}

func readEndpoint(c *configuration, value string) error {
	endpoint, err := url.Parse(value)
	switch {
	case err != nil || endpoint.Host == "" || endpoint.Scheme != "http" && endpoint.Scheme != "https":
		return errors.New("that is no address of a web server")
	case endpoint.User != nil || endpoint.RawQuery != "" || endpoint.Fragment != "":
		return errors.New("it says more than where")
	}
	c.traceEndpoint = value
	return nil
}

func readLevel(c *configuration, value string) error {
	levels := map[string]slog.Level{"debug": slog.LevelDebug, "info": slog.LevelInfo, "warn": slog.LevelWarn, "error": slog.LevelError}
	level, known := levels[value]
	if !known {
		return errors.New("that is no level")
	}
	c.logLevel = level
	return nil
}

func readFormat(c *configuration, value string) error {
	if value != "json" && value != "text" {
		return errors.New("that is no format")
	}
	c.logFormat = value
	return nil
}
