package main

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"os"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"swardcase/api/jobs"
	"swardcase/api/service"
)

// startWorkers lets the process work on course plans until the context ends, where
// it keeps anything. stop ends that sooner, and waits until every plan that the
// process had has been kept or given back: the store must stay open until then.
func (c configuration) startWorkers(ctx context.Context, svc *service.Service, logger *slog.Logger, to prometheus.Registerer) (stop func(), err error) {
	if !svc.Keeps() || c.workers() == 0 {
		return func() {}, nil
	}
	runner, err := jobs.New(jobs.CoursePlans(svc, workerName(), time.Now), jobs.Config{Workers: c.workers(), Logger: logger, Metrics: to})
	if err != nil {
		return nil, err
	}
	svc.WhenQueued(runner.Wake)
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		runner.Run(ctx)
	}()
	return func() {
		cancel()
		<-ended
	}, nil
}

// workerName tells the processes over one store apart, for whoever looks into it.
func workerName() string {
	host, err := os.Hostname()
	if err != nil {
		host = "unknown"
	}
	return fmt.Sprintf("%s/%d/%s", host, os.Getpid(), rand.Text()[:6])
}
