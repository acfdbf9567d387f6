package api

import (
	"math"
	"net/netip"
	"strconv"
	"sync"
	"time"

	"github.com/hashicorp/golang-lru/v2/simplelru"
	"github.com/labstack/echo/v4"
	"golang.org/x/time/rate"

	"swardcase/api/service"
)

// Limits bounds what callers may ask of this one process. A limit of zero is
// none.
type Limits struct {
	// Address is how often one address may call, and Key how often the holder of
	// one key may, from wherever it calls.
	Address, Key Rate
	// AddressUnderWay is how many requests of one address may be under way at
	// once, UnderWay how many of all addresses.
	AddressUnderWay, UnderWay int
	// BodyBytes is how much of long bodies is held at once. Short ones do not count,
	// so that nobody who sends little is refused for those who send much.
	BodyBytes int64
}

// Rate is a number of requests a second, kept up, and how many may come at once
// after a rest.
type Rate struct {
	PerSecond float64
	Burst     int
}

// maxBuckets is how many addresses or keys are remembered. Whoever has been
// silent longest is forgotten, and would start with a full burst again.
const maxBuckets = 20_000

// buckets counts the requests of each sender.
type buckets struct {
	rate  Rate
	mutex sync.Mutex
	known *simplelru.LRU[string, *rate.Limiter]
}

// newBuckets gives nil, which lets everything pass, for a rate of zero.
func newBuckets(r Rate) *buckets {
	if r.PerSecond <= 0 {
		return nil
	}
	known, err := simplelru.NewLRU[string, *rate.Limiter](maxBuckets, nil)
	if err != nil {
		panic(err) // only a size below one is refused
	}
	return &buckets{rate: r, known: known}
}

// take counts one request of a sender. It gives how long the sender has to wait
// before it may ask again, and 0 when the request may go on.
func (b *buckets) take(sender string, now time.Time) time.Duration {
	if b == nil {
		return 0
	}
	b.mutex.Lock()
	defer b.mutex.Unlock()
	limiter, known := b.known.Get(sender)
	if !known {
		limiter = rate.NewLimiter(rate.Limit(b.rate.PerSecond), max(b.rate.Burst, 1))
		b.known.Add(sender, limiter)
	}
	reservation := limiter.ReserveN(now, 1)
	wait := reservation.DelayFrom(now)
	if wait > 0 {
		reservation.CancelAt(now) // a refused request costs its sender nothing
	}
	return wait
}

// underWay counts the requests that are being answered, in all and by address.
type underWay struct {
	most, mostOfOne int
	mutex           sync.Mutex
	all             int
	of              map[string]int
}

// enter counts a request in. It says why one may not go on: it is one too many
// of its address, or of all.
func (u *underWay) enter(sender string) (tooManyOfOne, tooMany bool) {
	u.mutex.Lock()
	defer u.mutex.Unlock()
	switch {
	case u.mostOfOne > 0 && u.of[sender] >= u.mostOfOne:
		return true, false
	case u.most > 0 && u.all >= u.most:
		return false, true
	}
	u.all++
	u.of[sender]++
	return false, false
}

func (u *underWay) leave(sender string) {
	u.mutex.Lock()
	defer u.mutex.Unlock()
	u.all--
	if u.of[sender]--; u.of[sender] == 0 {
		delete(u.of, sender)
	}
}

// limits is what the server counts with.
type limits struct {
	addresses, keys *buckets
	underWay        *underWay
	bodies          bodies
}

func newLimits(l Limits) limits {
	return limits{
		addresses: newBuckets(l.Address), keys: newBuckets(l.Key),
		underWay: &underWay{most: l.UnderWay, mostOfOne: l.AddressUnderWay, of: map[string]int{}},
		bodies:   newBodies(l.BodyBytes),
	}
}

// unlimited are the routes that are always answered, so that a proxy which asks
// for health from the address of a busy caller is not told that nobody is there.
var unlimited = map[string]bool{"/healthz": true, "/readyz": true}

// limitAddress refuses what comes too often from one address, or on top of too
// much that is under way. It stands before anything that costs more than it does.
func (s *Server) limitAddress(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		if unlimited[c.Path()] {
			return next(c)
		}
		sender := senderOf(c.RealIP())
		if wait := s.limits.addresses.take(sender, s.config.Now()); wait > 0 {
			return s.tooMany(c, "address_rate", wait, "Requests from one address are limited.")
		}
		tooManyOfOne, tooMany := s.limits.underWay.enter(sender)
		switch {
		case tooManyOfOne:
			return s.tooMany(c, "address_under_way", time.Second, "Too many requests from one address are under way; wait for their answers.")
		case tooMany:
			s.refused("under_way")
			return &service.Error{Kind: service.Unavailable, Detail: "The service is busy; try again in a moment."}
		}
		defer s.limits.underWay.leave(sender)
		return next(c)
	}
}

// tooMany is the refusal of one who asks too often, with the time to wait.
func (s *Server) tooMany(c echo.Context, limit string, wait time.Duration, detail string) error {
	s.refused(limit)
	seconds := max(1, int(math.Ceil(wait.Seconds())))
	c.Response().Header().Set(echo.HeaderRetryAfter, strconv.Itoa(seconds))
	return &service.Error{Kind: service.TooManyRequests, Detail: detail + " Try again in " + strconv.Itoa(seconds) + " s."}
}

// senderOf is what an address is counted as. A household or a machine is given a
// whole IPv6 network of 64 bits, and may call from any address in it.
func senderOf(address string) string {
	parsed, err := netip.ParseAddr(address)
	if err != nil {
		return address
	}
	parsed = parsed.Unmap().WithZone("")
	if parsed.Is6() {
		if network, err := parsed.Prefix(64); err == nil {
			return network.String()
		}
	}
	return parsed.String()
}
