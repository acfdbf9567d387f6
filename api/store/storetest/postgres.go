// Package storetest gives tests a store of each engine: a SQLite file, and a
// database of a private PostgreSQL that is started from the installed programs.
package storetest

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// Server is a PostgreSQL of one's own, reached by a socket in a short folder.
type Server struct {
	folder   string
	programs string
	owner    *syscall.Credential // nil when the process itself is unprivileged
	durable  bool
	process  *os.Process
	ended    chan error
}

// missing is why no PostgreSQL can be started; a test is then skipped.
type missing struct{ reason string }

func (m missing) Error() string { return m.reason }

// findPrograms looks in the path and where Debian puts them, newest first.
func findPrograms() (string, error) {
	found, _ := filepath.Glob("/usr/lib/postgresql/*/bin/initdb")
	slices.SortFunc(found, func(a, b string) int { return majorOf(b) - majorOf(a) })
	if inPath, err := exec.LookPath("initdb"); err == nil {
		found = append([]string{inPath}, found...)
	}
	if len(found) == 0 {
		return "", missing{"no PostgreSQL: install it (Debian: apt-get install postgresql) or set TEST_DATABASE_URL"}
	}
	return filepath.Dir(found[0]), nil
}

func majorOf(program string) int {
	major, _ := strconv.Atoi(filepath.Base(filepath.Dir(filepath.Dir(program))))
	return major
}

// unprivileged finds a user to run as, since the server refuses to run as root.
func unprivileged() (*syscall.Credential, error) {
	if os.Geteuid() != 0 {
		return nil, nil
	}
	for _, name := range []string{"postgres", "nobody"} {
		found, err := user.Lookup(name)
		if err != nil {
			continue
		}
		uid, errUID := strconv.ParseUint(found.Uid, 10, 32)
		gid, errGID := strconv.ParseUint(found.Gid, 10, 32)
		if errUID == nil && errGID == nil {
			return &syscall.Credential{Uid: uint32(uid), Gid: uint32(gid)}, nil
		}
	}
	return nil, missing{"no user that PostgreSQL could run as: it refuses root"}
}

// NewServer makes and starts a server. durable keeps synchronisation on, for
// tests that kill it; the others are several times faster without.
func NewServer(durable bool) (*Server, error) {
	programs, err := findPrograms()
	if err != nil {
		return nil, err
	}
	owner, err := unprivileged()
	if err != nil {
		return nil, err
	}
	// The path of a socket may have little more than a hundred characters, which
	// a test's own folder can use up.
	folder, err := os.MkdirTemp("", "swc")
	if err != nil {
		return nil, err
	}
	s := &Server{folder: folder, programs: programs, owner: owner, durable: durable}
	if owner != nil {
		if err := os.Chown(folder, int(owner.Uid), int(owner.Gid)); err != nil {
			return nil, errors.Join(err, os.RemoveAll(folder))
		}
	}
	if err := s.initialise(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	if err := s.Start(); err != nil {
		return nil, errors.Join(err, os.RemoveAll(folder))
	}
	return s, nil
}

func (s *Server) initialise() error {
	command := exec.Command(filepath.Join(s.programs, "initdb"), "--no-sync", "--auth=trust", "--username=owner",
		"--encoding=UTF8", "--locale=C", "--pgdata="+s.data())
	command.Dir = s.folder
	command.SysProcAttr = &syscall.SysProcAttr{Credential: s.owner}
	if output, err := command.CombinedOutput(); err != nil {
		return fmt.Errorf("initdb: %w: %s", err, output)
	}
	return nil
}

func (s *Server) data() string { return filepath.Join(s.folder, "data") }

// Start runs the server and waits until it answers.
func (s *Server) Start() error {
	sync := map[bool]string{true: "on", false: "off"}[s.durable]
	command := exec.Command(filepath.Join(s.programs, "postgres"), "-D", s.data(), "-k", s.folder,
		"-c", "listen_addresses=", "-c", "fsync="+sync, "-c", "synchronous_commit="+sync, "-c", "full_page_writes="+sync,
		"-c", "max_connections=200")
	command.Dir = s.folder
	var log bytes.Buffer
	command.Stdout, command.Stderr = &log, &log
	command.SysProcAttr = &syscall.SysProcAttr{Credential: s.owner}
	var err error
	if s.ended, err = StartBound(command, syscall.SIGQUIT); err != nil {
		return fmt.Errorf("start PostgreSQL: %w", err)
	}
	s.process = command.Process
	for range 300 {
		if err := s.ping(); err == nil {
			return nil
		}
		select {
		case err := <-s.ended:
			return fmt.Errorf("PostgreSQL ended at once: %w: %s", err, log.String())
		case <-time.After(50 * time.Millisecond):
		}
	}
	return errors.Join(errors.New("PostgreSQL did not answer"), s.Stop())
}

func (s *Server) ping() error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Second)
	defer cancel()
	connection, err := pgx.Connect(ctx, s.URL("postgres"))
	if err != nil {
		return err
	}
	return connection.Close(ctx)
}

// URL is the address of one of its databases, with the login that owns it.
func (s *Server) URL(database string) string { return s.URLAs("owner", database) }

// URLAs is the address of one of its databases with a login, which needs no
// password here.
func (s *Server) URLAs(login, database string) string {
	query := url.Values{"host": {s.folder}, "user": {login}}
	return "postgres:///" + database + "?" + query.Encode()
}

// Stop asks the server to end at once but tidily, and waits for it. A server
// that is still recovering from a crash may never end tidily: after a while it is
// asked to end as it stands, and to recover when it is next started.
func (s *Server) Stop() error {
	if err := s.process.Signal(syscall.SIGINT); err != nil {
		return err
	}
	select {
	case err := <-s.ended:
		return err
	case <-time.After(tidyEnd):
	}
	if err := s.process.Signal(syscall.SIGQUIT); err != nil {
		return err
	}
	return <-s.ended
}

const tidyEnd = 20 * time.Second

// Remove stops the server and deletes what it kept.
func (s *Server) Remove() error { return errors.Join(s.Stop(), os.RemoveAll(s.folder)) }

// shared is the one server of this test process.
var shared struct {
	once   sync.Once
	server *Server
	err    error
}

// Main runs a package's tests, and removes the shared server afterwards. Call it
// from TestMain.
func Main(m *testing.M) {
	code := m.Run()
	if shared.server != nil {
		if err := shared.server.Remove(); err != nil {
			fmt.Fprintln(os.Stderr, "remove the private PostgreSQL:", err)
		}
	}
	os.Exit(code)
}

// administration is the address under which databases can be made: that of
// TEST_DATABASE_URL, or of the shared server.
func administration(t testing.TB) string {
	t.Helper()
	if given := os.Getenv("TEST_DATABASE_URL"); given != "" {
		return given
	}
	shared.once.Do(func() { shared.server, shared.err = NewServer(false) })
	SkipIfMissing(t, shared.err)
	if shared.err != nil {
		t.Fatal(shared.err)
	}
	return shared.server.URL("postgres")
}

// SkipIfMissing skips a test when the error says that no server is installed.
func SkipIfMissing(t testing.TB, err error) {
	t.Helper()
	if reason := (missing{}); errors.As(err, &reason) {
		t.Skip(reason.reason)
	}
}

// Folder is where the server keeps its data and its socket.
func (s *Server) Folder() string { return s.folder }
