// Command swardcase helps a golf club decide what to do with a failing green:
// it scores the green's condition, costs the routes open to the club and says
// how sure it is. `swardcase help` lists what it can do.
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	context.AfterFunc(ctx, stop) // so that a second interrupt ends it at once
	os.Exit(run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv))
}
