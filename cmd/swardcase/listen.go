package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"sync"
	"syscall"

	"swardcase/api/access"
	"swardcase/api/service"
)

// mayBeOpen says whether the service takes callers without a key
// for the user of this machine. The error says why it must not start there at all.
func (c configuration) mayBeOpen(ctx context.Context, svc *service.Service, keeps bool) (bool, error) {
	hasKeys, err := svc.HasKeys(ctx)
	if err != nil {
		return false, err
	}
	if len(c.trusted) > 0 && !hasKeys {
		return false, errors.New("the service is behind a proxy (--trusted-proxies), through which others reach it, and has no key to ask them for: " +
			"keep things in a store, and make the first key with swardcase key issue --operator")
	}
	open, err := access.OpenToLocal(isLoopback(c.address), keeps, hasKeys)
	if err != nil {
		return false, fmt.Errorf("%q is not a loopback address; %w, such as %s", c.address, err, defaultAddress)
	}
	return open, nil
}

// listen opens an address. With orFree, a port that is taken is replaced by a
// free one.
func listen(address string, orFree bool) (*net.TCPListener, error) {
	resolved, err := net.ResolveTCPAddr("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("the address %q cannot be used: %w", address, err)
	}
	listener, err := net.ListenTCP("tcp", resolved)
	if orFree && errors.Is(err, syscall.EADDRINUSE) {
		resolved.Port = 0
		listener, err = net.ListenTCP("tcp", resolved)
	}
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w", address, err)
	}
	return listener, nil
}

// http1 is HTTP/1.1 and nothing later.
func http1() *http.Protocols {
	protocols := &http.Protocols{}
	protocols.SetHTTP1(true)
	return protocols
}

// sparedFiles are kept for the store, the log and the private address when the
// number of connections is held below that of the files that may be open.
const sparedFiles = 200

// bounded holds the number of connections to a listener, in all and from one
// address. Beyond the first, new ones wait until others end; beyond the second
// they are ended at once.
func (c configuration) bounded(listener *net.TCPListener) net.Listener {
	most := c.connections
	var files syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &files); err == nil && files.Cur > 2*sparedFiles {
		most = int(min(uint64(most), files.Cur-sparedFiles))
	}
	return &gate{
		TCPListener: listener, places: make(chan struct{}, most), closed: make(chan struct{}),
		mostOfOne: c.addressConnections, trusted: c.trusted, of: map[netip.Addr]int{},
	}
}

// gate is a listener that counts its connections. Those of trusted proxies count
// only among all, since each stands for many callers.
type gate struct {
	*net.TCPListener
	places    chan struct{}
	closed    chan struct{}
	close     sync.Once
	mostOfOne int
	trusted   []netip.Prefix
	mutex     sync.Mutex
	of        map[netip.Addr]int
}

// Accept gives the next connection, once there is a place for it.
func (g *gate) Accept() (net.Conn, error) {
	for {
		select {
		case g.places <- struct{}{}:
		case <-g.closed:
			return nil, net.ErrClosed
		}
		connection, err := g.AcceptTCP()
		if err != nil {
			<-g.places
			return nil, err
		}
		sender, counted := g.sender(connection)
		if counted && !g.enter(sender) {
			_ = connection.Close() // there is nobody to tell
			<-g.places
			continue
		}
		return &countedConnection{TCPConn: connection, leave: sync.OnceFunc(func() {
			<-g.places
			if counted {
				g.leave(sender)
			}
		})}, nil
	}
}

// Close ends the listening, also of who waits for a place.
func (g *gate) Close() error {
	g.close.Do(func() { close(g.closed) })
	return g.TCPListener.Close()
}

func (g *gate) sender(connection net.Conn) (sender netip.Addr, counted bool) {
	peer, err := netip.ParseAddrPort(connection.RemoteAddr().String())
	if err != nil || g.mostOfOne == 0 {
		return sender, false
	}
	sender = peer.Addr().Unmap().WithZone("")
	for _, prefix := range g.trusted {
		if prefix.Contains(sender) {
			return sender, false
		}
	}
	if sender.Is6() { // one customer commonly has a whole network
		network, _ := sender.Prefix(64)
		sender = network.Addr()
	}
	return sender, true
}

func (g *gate) enter(sender netip.Addr) bool {
	g.mutex.Lock()
	defer g.mutex.Unlock()
	if g.of[sender] >= g.mostOfOne {
		return false
	}
	g.of[sender]++
	return true
}

func (g *gate) leave(sender netip.Addr) {
	g.mutex.Lock()
	defer g.mutex.Unlock()
	if g.of[sender]--; g.of[sender] == 0 {
		delete(g.of, sender)
	}
}

// countedConnection is counted until it is closed.
type countedConnection struct {
	*net.TCPConn
	leave func()
}

// Close ends the connection and stops counting it.
func (c *countedConnection) Close() error {
	defer c.leave()
	return c.TCPConn.Close()
}

// overTLS speaks TLS on a listener when there is a certificate.
func (c configuration) overTLS(listener net.Listener) (net.Listener, error) {
	if c.certificate == "" {
		return listener, nil
	}
	pair, err := tls.LoadX509KeyPair(c.certificate, c.key)
	if err != nil {
		return nil, fmt.Errorf("--tls-certificate and --tls-key cannot be used together: %w", err)
	}
	return tls.NewListener(listener, &tls.Config{
		Certificates: []tls.Certificate{pair},
		MinVersion:   tls.VersionTLS12,
		NextProtos:   []string{"http/1.1"},
	}), nil
}
