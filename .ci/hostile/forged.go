package main

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

// The usual limits of one address, which README.md states.
const (
	usualRate  = 100
	usualBurst = 200
)

// forgedAddresses calls as fast as it can and claims to be somebody else each
// time, in every header that is known for it.
func forgedAddresses(ctx context.Context, l *lab) (err error) {
	s, err := l.serve("")
	if err != nil {
		return err
	}
	c := s.client("127.0.0.1")
	var number, taken, refused, other atomic.Int64
	start := time.Now()
	var group sync.WaitGroup
	for range 8 {
		group.Go(func() {
			for time.Since(start) < l.forged {
				n := number.Add(1)
				forged := fmt.Sprintf("203.%d.%d.%d", n>>16&255, n>>8&255, n&255)
				a, err := c.send(ctx, http.MethodGet, "/openapi.yaml", nil, "X-Forwarded-For", forged, "X-Real-Ip", forged,
					"Forwarded", "for="+forged, "True-Client-Ip", forged, "X-Client-Ip", forged, "Cf-Connecting-Ip", forged)
				switch {
				case err == nil && a.status == http.StatusOK:
					taken.Add(1)
				case err == nil && a.status == http.StatusTooManyRequests && a.header.Get("Retry-After") != "":
					refused.Add(1)
				default:
					other.Add(1)
				}
			}
		})
	}
	group.Wait()
	lasted := time.Since(start)
	may := int64(usualBurst + usualRate*(lasted.Seconds()+1))
	fmt.Printf("  one caller under %d forged addresses in %s: %d answered (at most %d may be), %d refused with 429\n",
		number.Load(), lasted.Round(100*time.Millisecond), taken.Load(), may, refused.Load())
	a, err := s.client("127.0.0.2").send(ctx, http.MethodGet, "/openapi.yaml", nil)
	if err != nil || a.status != http.StatusOK {
		err = errors.Join(fmt.Errorf("another caller was answered %d", a.status), err)
	}
	if taken.Load() > may || refused.Load() == 0 || other.Load() > 0 {
		err = errors.Join(err, fmt.Errorf("%d answers were neither taken nor refused, or too many were taken", other.Load()))
	}
	if err := errors.Join(err, s.Stop()); err != nil {
		return err
	}
	text, err := os.ReadFile(s.Log)
	if err != nil {
		return err
	}
	if strings.Contains(string(text), "203.") || strings.Count(string(text), `"from":"127.0.0.1"`) < int(number.Load()) {
		return errors.New("a forged address was logged")
	}
	return nil
}
