// Command load measures how fast the served binary keeps things: wrk, in a
// process of its own, posts greens and appraisals with 1, 16 and 64 clients,
// over SQLite and over a PostgreSQL that synchronises every commit, and pgbench
// inserts the same rows into the same tables of the same server in the same run.
//
// All of it runs on one machine, clients and database included, so that only the
// ratios mean something elsewhere. wrk and pgbench both send the next request
// when the last is answered: the latencies are those of a service that is never
// asked for more than it can do. Run it from the top of the project; wrk and
// PostgreSQL must be installed.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"swardcase/.ci/served"
	"swardcase/api/store/storetest"
)

// bench is what every measurement is made with.
type bench struct {
	served.Binary
	lasts   time.Duration
	clients []int
}

// figure is one measurement.
type figure struct {
	perSecond float64
	p99       time.Duration
	refused   int // as taking too long, on a machine that has too much to compute
}

func main() {
	served.Main("load", run)
}

func run(ctx context.Context) error {
	var b bench
	clients := flag.String("clients", "1,16,64", "how many clients at once, with commas between")
	b.Flag()
	flag.DurationVar(&b.lasts, "lasts", 10*time.Second, "how long each measurement lasts")
	flag.Parse()
	for text := range strings.SplitSeq(*clients, ",") {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			return fmt.Errorf("%q is no number of clients", text)
		}
		b.clients = append(b.clients, n)
	}
	return b.Use(ctx, "load", func() (err error) {
		server, err := storetest.NewServer(true)
		if err != nil {
			return err
		}
		defer func() { err = errors.Join(err, server.Remove()) }()
		return b.measure(ctx, server)
	})
}

// measure takes every figure and prints the table.
func (b *bench) measure(ctx context.Context, server *storetest.Server) error {
	onSQLite, err := b.serve(ctx, "SWARDCASE_STORE="+filepath.Join(b.Scratch, "store.db"))
	if err != nil {
		return err
	}
	defer onSQLite.end()
	address := "DATABASE_URL=" + server.URL("postgres")
	if err := b.Migrate(ctx, address); err != nil {
		return err
	}
	onPostgres, err := b.serve(ctx, address)
	if err != nil {
		return err
	}
	defer onPostgres.end()

	fmt.Printf("%s each, longer where there are few answers; stored per second, and the latency that 99 in 100 stay under\n", b.lasts)
	for _, w := range works {
		fmt.Printf("\n%s\n", w.name)
		fmt.Printf("%9s  %22s  %22s  %22s  %15s\n", "clients", "SQLite", "PostgreSQL", "pgbench, the bare row", "service/pgbench")
		for _, clients := range b.clients {
			sqlite, err := b.wrk(ctx, onSQLite, w, clients)
			if err != nil {
				return fmt.Errorf("%s over SQLite: %w", w.name, err)
			}
			postgres, err := b.wrk(ctx, onPostgres, w, clients)
			if err != nil {
				return fmt.Errorf("%s over PostgreSQL: %w", w.name, err)
			}
			bare, err := b.pgbench(ctx, server, w, clients)
			if err != nil {
				return fmt.Errorf("%s by pgbench: %w", w.name, err)
			}
			fmt.Printf("%9d  %22s  %22s  %22s  %15.3f\n", clients, sqlite, postgres, bare, postgres.perSecond/bare.perSecond)
		}
	}
	fmt.Print(explanation)
	return nil
}

const explanation = `
What the service does beside inserting the row: it checks the document against the contract and the model, reads the
club, writes the audit entry, and with a key keeps the key with its answer. An appraisal also computes:
without draws some ten milliseconds of one processor, with 10,000 draws some two hundred, so that its rate is that of
the computation and not of the store. pgbench only sends the finished row.
`

func (f figure) String() string {
	rate := fmt.Sprintf("%.0f/s", f.perSecond)
	if f.perSecond < 10 {
		rate = fmt.Sprintf("%.1f/s", f.perSecond)
	}
	text := rate + "  " + f.p99.Round(100*time.Microsecond).String()
	if f.refused > 0 {
		text = fmt.Sprintf("%d too late, %s", f.refused, text)
	}
	return text
}

// percentile99 is the nearest-rank 99th percentile.
func percentile99(times []time.Duration) time.Duration {
	slices.Sort(times)
	return times[(len(times)*99+99)/100-1]
}
