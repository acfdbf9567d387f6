package main

import (
	"bytes"
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"errors"
	"io"
	"log/slog"
	"math/big"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// served is the service as a user starts it.
type served struct {
	t             *testing.T
	base, private string
	log           *safeBuffer
	interrupt     func()
	code          chan int
}

// safeBuffer is written by the service and read by the test.
type safeBuffer struct {
	mutex sync.Mutex
	text  bytes.Buffer
}

func (b *safeBuffer) Write(text []byte) (int, error) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.text.Write(text)
}

func (b *safeBuffer) String() string {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.text.String()
}

func startServing(t *testing.T, args ...string) *served {
	t.Helper()
	ctx, interrupt := context.WithCancel(t.Context())
	s := &served{t: t, log: &safeBuffer{}, interrupt: interrupt, code: make(chan int, 1)}
	stdout := &watched{lines: make(chan string, 10)}
	args = append([]string{"serve", "--address", "127.0.0.1:0", "--private-address", "127.0.0.1:0"}, args...)
	go func() {
		s.code <- run(ctx, args, strings.NewReader(""), stdout, s.log, func(string) string { return "" })
	}()
	for _, into := range []*string{&s.private, &s.base} {
		select {
		case line := <-stdout.lines:
			*into = strings.TrimSuffix(regexp.MustCompile(`https?://\S+`).FindString(line), "/metrics")
		case code := <-s.code:
			t.Fatalf("ended with %d: %s", code, s.log)
		}
	}
	return s
}

func (s *served) stop() int {
	s.interrupt()
	select {
	case code := <-s.code:
		return code
	case <-time.After(time.Minute):
		s.t.Fatal("did not stop")
		return 0
	}
}

// ask gives the status and the body; 0 for no answer.
func ask(client *http.Client, address string) (int, string) {
	answer, err := client.Get(address)
	if err != nil {
		return 0, err.Error()
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err != nil {
		return 0, err.Error()
	}
	return answer.StatusCode, string(body)
}

// TestThePrivateAddress: metrics and profiles are there and nowhere else.
func TestThePrivateAddress(t *testing.T) {
	s := startServing(t)
	client := &http.Client{}
	for address, want := range map[string]int{
		s.private + "/metrics": 200, s.private + "/healthz": 200, s.private + "/readyz": 200,
		s.private + "/debug/pprof/": 200, s.private + "/debug/pprof/goroutine": 200, s.private + "/v1/clubs": 404,
		s.base + "/metrics": 404, s.base + "/debug/pprof/": 404, s.base + "/readyz": 200,
	} {
		if got, body := ask(client, address); got != want {
			t.Errorf("%s answered %d, want %d: %.200s", address, got, want, body)
		}
	}
	_, metrics := ask(client, s.private+"/metrics")
	for _, want := range []string{
		`swardcase_requests_total{method="GET",route="/readyz",status="200"}`,
		`swardcase_requests_total{method="GET",route="none",status="404"} 2`, "go_goroutines", "process_open_fds",
	} {
		if !strings.Contains(metrics, want) {
			t.Errorf("the metrics lack %s", want)
		}
	}
	forged, err := http.NewRequest(http.MethodGet, s.private+"/metrics", nil)
	if err != nil {
		t.Fatal(err)
	}
	forged.Host = "pages.example:80" // as a browser would that a page has led here
	answer, err := client.Do(forged)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusMisdirectedRequest {
		t.Errorf("called by another name it answered %d", answer.StatusCode)
	}
	if code := s.stop(); code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
	if !strings.Contains(s.log.String(), `{"time":`) {
		t.Errorf("the log is not JSON: %s", s.log)
	}
}

// TestProfilesStayOnLoopback: an exposed private address has metrics only.
func TestProfilesStayOnLoopback(t *testing.T) {
	nothing := http.NotFoundHandler()
	server := privateServer(newRegistry(), nothing, false, slog.New(slog.DiscardHandler))
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	go server.Serve(listener)
	defer server.Close()
	base := "http://" + listener.Addr().String()
	for path, want := range map[string]int{"/metrics": 200, "/debug/pprof/": 404, "/debug/pprof/cmdline": 404} {
		if got, _ := ask(&http.Client{}, base+path); got != want {
			t.Errorf("%s answered %d, want %d", path, got, want)
		}
	}
}

// TestAStopFinishesWhatIsUnderWay: readiness turns false first, a request that is
// still being sent is answered, and then nobody listens.
func TestAStopFinishesWhatIsUnderWay(t *testing.T) {
	s := startServing(t, "--drain-delay", "300ms", "--stop-deadline", "20s")
	body, err := os.ReadFile("../../testdata/cases/small.json")
	if err != nil {
		t.Fatal(err)
	}
	sending, send := io.Pipe()
	status := make(chan int, 1)
	go func() {
		answer, err := http.Post(s.base+"/v1/trial-conditions", "application/json", sending)
		if err != nil {
			t.Error(err)
			status <- 0
			return
		}
		answer.Body.Close()
		status <- answer.StatusCode
	}()
	if _, err := send.Write(body[:100]); err != nil {
		t.Fatal(err)
	}
	client := &http.Client{}
	for { // until the server has begun to answer it
		if _, metrics := ask(client, s.private+"/metrics"); strings.Contains(metrics, "swardcase_requests_under_way 1") {
			break
		}
	}
	s.interrupt()
	unready := false
	for !unready {
		code, _ := ask(client, s.private+"/readyz")
		if code == 0 {
			t.Fatal("it was never seen to be unready")
		}
		unready = code == 503
	}
	if code, _ := ask(client, s.base+"/healthz"); code != 200 {
		t.Errorf("health is %d while it drains", code)
	}
	fresh := &http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
	for { // until the delay is over and nobody new is let in
		if code, _ := ask(fresh, s.base+"/healthz"); code == 0 {
			break
		}
	}
	if _, err := send.Write(body[100:]); err != nil {
		t.Fatal(err)
	}
	send.Close()
	if got := <-status; got != 200 {
		t.Errorf("the request under way was answered %d", got)
	}
	if code := <-s.code; code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
}

// TestAStopHasADeadline: whoever never finishes sending is cut off, and it is said.
func TestAStopHasADeadline(t *testing.T) {
	s := startServing(t, "--stop-deadline", "1s")
	connection, err := net.Dial("tcp", strings.TrimPrefix(s.base, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer connection.Close()
	if _, err := io.WriteString(connection, "POST /v1/trial-conditions HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: 100\r\n\r\n{"); err != nil {
		t.Fatal(err)
	}
	for {
		if _, metrics := ask(&http.Client{}, s.private+"/metrics"); strings.Contains(metrics, "swardcase_requests_under_way 1") {
			break
		}
	}
	if code := s.stop(); code != 1 || !strings.Contains(s.log.String(), "requests were cut off after 1s") {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
}

func TestTLSByFiles(t *testing.T) {
	certificate, key, pool := makeCertificate(t)
	s := startServing(t, "--tls-certificate", certificate, "--tls-key", key)
	if !strings.HasPrefix(s.base, "https://") {
		t.Errorf("it says %s", s.base)
	}
	ours := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool}, ForceAttemptHTTP2: true}
	answer, err := (&http.Client{Transport: ours}).Get(s.base + "/healthz")
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != 200 || answer.Proto != "HTTP/1.1" || answer.Header.Get("Strict-Transport-Security") == "" {
		t.Errorf("%s %d, %v", answer.Proto, answer.StatusCode, answer.Header)
	}
	old := &http.Transport{TLSClientConfig: &tls.Config{RootCAs: pool, MaxVersion: tls.VersionTLS11}}
	if code, _ := ask(&http.Client{Transport: old}, s.base+"/healthz"); code != 0 {
		t.Errorf("TLS 1.1 was answered %d", code)
	}
	if code := s.stop(); code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
	_, otherKey, _ := makeCertificate(t)
	got := runLine(t, "", "serve", "--address", "127.0.0.1:0", "--tls-certificate", certificate, "--tls-key", otherKey)
	if got.code != 1 || !strings.Contains(got.stderr, "cannot be used together") {
		t.Errorf("with another key: %+v", got)
	}
}

// makeCertificate writes a certificate for loopback and its key.
func makeCertificate(t *testing.T) (certificate, key string, pool *x509.CertPool) {
	t.Helper()
	private, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	template := &x509.Certificate{
		SerialNumber: big.NewInt(1), NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IPAddresses: []net.IP{net.IPv4(127, 0, 0, 1)}, IsCA: true, BasicConstraintsValid: true,
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, &private.PublicKey, private)
	if err != nil {
		t.Fatal(err)
	}
	keyDER, err := x509.MarshalPKCS8PrivateKey(private)
	if err != nil {
		t.Fatal(err)
	}
	folder := t.TempDir()
	certificate, key = filepath.Join(folder, "certificate.pem"), filepath.Join(folder, "key.pem")
	public := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der})
	err = errors.Join(
		os.WriteFile(certificate, public, 0o600),
		os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: keyDER}), 0o600),
	)
	if err != nil {
		t.Fatal(err)
	}
	pool = x509.NewCertPool()
	pool.AppendCertsFromPEM(public)
	return certificate, key, pool
}

// TestConnectionsAreBounded counts those of one address, and those of all.
func TestConnectionsAreBounded(t *testing.T) {
	s := startServing(t, "--address-connections", "3", "--connections", "5")
	address := strings.TrimPrefix(s.base, "http://")
	dial := func(from string) net.Conn {
		dialer := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}}
		connection, err := dialer.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { connection.Close() })
		return connection
	}
	answered := func(connection net.Conn, patience time.Duration) bool {
		if _, err := io.WriteString(connection, "GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"); err != nil {
			return false
		}
		_ = connection.SetReadDeadline(time.Now().Add(patience))
		n, _ := connection.Read(make([]byte, 4096))
		return n > 0
	}
	const soon, late = 200 * time.Millisecond, 10 * time.Second
	var open []net.Conn
	for range 3 {
		connection := dial("127.0.0.1")
		open = append(open, connection)
		if !answered(connection, late) {
			t.Error("one of the first three was not answered")
		}
	}
	if answered(dial("127.0.0.1"), late) {
		t.Error("the fourth of one address was answered")
	}
	for range 2 {
		if !answered(dial("127.0.0.2"), late) {
			t.Error("another address was not answered")
		}
	}
	waiting := dial("127.0.0.3")
	if answered(waiting, soon) {
		t.Error("the sixth of all was answered")
	}
	open[0].Close()
	if !answered(waiting, late) {
		t.Error("the sixth was not answered once there was a place")
	}
	if code := s.stop(); code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
}

// TestBehindAProxyItAsksForAKey: a proxy on this machine brings in the world, even
// to a loopback address.
func TestBehindAProxyItAsksForAKey(t *testing.T) {
	file := filepath.Join(t.TempDir(), "club.db")
	args := []string{"serve", "--address", "127.0.0.1:0", "--store", file, "--trusted-proxies", "127.0.0.1"}
	if got := runLine(t, "", args...); got.code != 1 || !strings.Contains(got.stderr, "swardcase key issue --operator") {
		t.Errorf("without a key: %+v", got)
	}
	issued := runLine(t, "", "key", "issue", "--operator", "--store", file)
	if issued.code != 0 {
		t.Fatal(issued.stderr)
	}
	s := startServing(t, "--store", file, "--trusted-proxies", "127.0.0.1")
	if code, _ := ask(&http.Client{}, s.base+"/v1/clubs"); code != http.StatusUnauthorized {
		t.Errorf("without its key it was answered %d", code)
	}
	r, err := http.NewRequest(http.MethodGet, s.base+"/v1/clubs", nil)
	if err != nil {
		t.Fatal(err)
	}
	secret := strings.TrimSpace(issued.stdout)
	r.Header.Set("Authorization", "Bearer "+secret)
	answer, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		t.Errorf("with its key it was answered %d", answer.StatusCode)
	}
	if code := s.stop(); code != 0 || strings.Contains(s.log.String(), secret[:12]) {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
}

// TestTracesAreSent: to the address that was set, with the store's share of each
// request, and nothing that a caller keeps secret.
func TestTracesAreSent(t *testing.T) {
	var received safeBuffer
	collector := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path != "/v1/traces" || r.Method != http.MethodPost {
			t.Errorf("%s %s", r.Method, r.URL)
		}
		_, _ = io.Copy(&received, r.Body)
	}))
	defer collector.Close()
	s := startServing(t, "--store", filepath.Join(t.TempDir(), "club.db"), "--trace-endpoint", collector.URL)
	ask(&http.Client{}, s.base+"/v1/clubs")
	ask(&http.Client{}, s.base+"/shares/swl_abcdefghijklmnopqrstuvwxyz")
	if code := s.stop(); code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
	sent := received.String()
	for _, want := range []string{"GET /v1/clubs", "store.View", "swardcase"} {
		if !strings.Contains(sent, want) {
			t.Errorf("the traces lack %q", want)
		}
	}
	if strings.Contains(sent, "abcdefghijk") {
		t.Error("a secret was traced")
	}
	if !strings.Contains(s.log.String(), `"trace_id":"`) {
		t.Errorf("the log does not name the traces: %s", s.log)
	}
}

// TestACollectorThatIsAwayHarmsNothing.
func TestACollectorThatIsAwayHarmsNothing(t *testing.T) {
	s := startServing(t, "--trace-endpoint", "http://127.0.0.1:9")
	if code, _ := ask(&http.Client{}, s.base+"/readyz"); code != http.StatusOK {
		t.Errorf("ready: %d", code)
	}
	if code := s.stop(); code != 0 {
		t.Errorf("stopped with %d: %s", code, s.log)
	}
}
