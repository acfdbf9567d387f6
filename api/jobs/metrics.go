package jobs

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"
)

// metrics counts what this process does, and asks the store how much waits.
type metrics struct {
	underWay prometheus.Gauge
	outcomes *prometheus.CounterVec
}

func newMetrics(to prometheus.Registerer, work Work) (*metrics, error) {
	if to == nil {
		to = prometheus.NewRegistry()
	}
	m := &metrics{
		underWay: prometheus.NewGauge(prometheus.GaugeOpts{
			Name: "swardcase_jobs_under_way", Help: "Jobs that this process works on.",
		}),
		outcomes: prometheus.NewCounterVec(prometheus.CounterOpts{
			Name: "swardcase_jobs_total", Help: "Jobs that this process has worked on, by what became of the work.",
		}, []string{"outcome"}),
	}
	for _, outcome := range outcomes {
		m.outcomes.WithLabelValues(outcome)
	}
	for _, each := range []prometheus.Collector{m.underWay, m.outcomes, depthCollector{work}} {
		if err := to.Register(each); err != nil {
			return nil, err
		}
	}
	return m, nil
}

// depthCollector asks the store when the metrics are read. Every process over
// one store says the same.
type depthCollector struct{ work Work }

var (
	queuedJobs = prometheus.NewDesc("swardcase_jobs_queued", "Jobs in the store that wait for a worker.", nil, nil)
	runningJob = prometheus.NewDesc("swardcase_jobs_running", "Jobs in the store that a worker has.", nil, nil)
	oldestJob  = prometheus.NewDesc("swardcase_jobs_oldest_wait_seconds", "How long the oldest queued job has waited.", nil, nil)
)

const depthTimeout = 2 * time.Second

// Describe names what is told.
func (c depthCollector) Describe(to chan<- *prometheus.Desc) {
	to <- queuedJobs
	to <- runningJob
	to <- oldestJob
}

// Collect asks, and tells nothing where the store does not answer.
func (c depthCollector) Collect(to chan<- prometheus.Metric) {
	ctx, cancel := context.WithTimeout(context.Background(), depthTimeout)
	defer cancel()
	depth, err := c.work.Depth(ctx)
	if err != nil {
		return
	}
	to <- prometheus.MustNewConstMetric(queuedJobs, prometheus.GaugeValue, float64(depth.Queued))
	to <- prometheus.MustNewConstMetric(runningJob, prometheus.GaugeValue, float64(depth.Running))
	to <- prometheus.MustNewConstMetric(oldestJob, prometheus.GaugeValue, depth.Oldest.Seconds())
}
