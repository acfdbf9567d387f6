package jobs

import (
	"context"
	"errors"
	"time"

	"swardcase/api/service"
)

// CoursePlans is the work on the course plans that a service keeps. The worker's
// name goes into the store, to tell the processes over one store apart.
func CoursePlans(svc *service.Service, worker string, now func() time.Time) Work {
	return coursePlans{svc, worker, now}
}

type coursePlans struct {
	service *service.Service
	worker  string
	now     func() time.Time
}

func (c coursePlans) Claim(ctx context.Context) (Task, error) {
	task, err := c.service.TakeCoursePlan(ctx, c.worker)
	if task == nil {
		return nil, err // a nil *CoursePlanTask would be a Task that is not nil
	}
	return coursePlan{task}, err
}

func (c coursePlans) Depth(ctx context.Context) (Depth, error) {
	depth, err := c.service.JobDepth(ctx)
	out := Depth{Queued: depth.Queued, Running: depth.Running}
	if depth.Oldest != nil {
		out.Oldest = max(0, c.now().Sub(*depth.Oldest))
	}
	return out, err
}

type coursePlan struct{ *service.CoursePlanTask }

func (p coursePlan) Run(ctx context.Context) error {
	err := p.CoursePlanTask.Run(ctx)
	if errors.Is(err, service.ErrJobLost) {
		return errors.Join(ErrLost, err)
	}
	return err
}
