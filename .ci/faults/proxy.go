package main

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"

	"swardcase/.ci/served"
	"swardcase/api/store/storetest"
)

// proxy is HAProxy before two replicas, as compose.yaml has it.
type proxy struct {
	address string
	os      *os.Process
	ended   chan error
	log     string
}

// proxyConfiguration is the very file that the containers use.
var proxyConfiguration = filepath.Join("cmd", "swardcase", "deploy", "haproxy.cfg")

// freeAddress is one that nobody listens at just now.
func freeAddress() (string, error) {
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return "", err
	}
	return listener.Addr().String(), listener.Close()
}

// startProxy starts HAProxy from the path, or from where Debian puts it.
func (l *lab) startProxy(ctx context.Context, one, two string) (*proxy, error) {
	program, err := exec.LookPath("haproxy")
	if err != nil {
		program = "/usr/sbin/haproxy"
	}
	address, err := freeAddress()
	if err != nil {
		return nil, err
	}
	log, err := os.CreateTemp(l.Scratch, "proxy-log-")
	if err != nil {
		return nil, err
	}
	defer log.Close()
	command := exec.Command(program, "-db", "-f", proxyConfiguration)
	command.Env = append(served.BareEnvironment(), "PROXY_ADDRESS="+address, "REPLICA_ONE="+one, "REPLICA_TWO="+two)
	command.Stdout, command.Stderr = log, log
	ended, err := storetest.StartBound(command, syscall.SIGKILL)
	if err != nil {
		return nil, fmt.Errorf("start HAProxy (Debian: apt-get install haproxy): %w", err)
	}
	p := &proxy{address: address, os: command.Process, ended: ended, log: log.Name()}
	asking := newCaller("http://"+address, 1)
	for range 300 {
		if a, err := asking.send(ctx, http.MethodGet, "/readyz", nil); err == nil && a.status == http.StatusOK {
			return p, nil
		}
		select {
		case err := <-p.ended:
			text, _ := os.ReadFile(p.log)
			return nil, fmt.Errorf("HAProxy ended at once: %w: %s", err, text)
		case <-time.After(50 * time.Millisecond):
		}
	}
	return nil, fmt.Errorf("no replica could be reached through HAProxy at %s", address)
}

func (p *proxy) stop() error {
	if err := p.os.Kill(); err != nil {
		return err
	}
	<-p.ended
	return nil
}

// from is a caller of the proxy with a loopback address of its own, which the
// replicas should see behind the proxy's.
func (p *proxy) from(address string, clients int) *caller {
	c := newCaller("http://"+p.address, clients)
	dialer := &net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(address)}}
	c.client.Transport.(*http.Transport).DialContext = dialer.DialContext
	return c
}
