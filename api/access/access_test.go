package access_test

import (
	"net/http/httptest"
	"strings"
	"testing"

	"swardcase/api/access"
	"swardcase/api/service"
)

// TestWhoMayStartAndStayOpen goes through every case of the rule.
func TestWhoMayStartAndStayOpen(t *testing.T) {
	for _, tt := range []struct {
		loopback, keeps, hasKeys bool
		open                     bool
		refused                  string
	}{
		{loopback: true, open: true},
		{loopback: true, keeps: true, open: true},
		{loopback: true, keeps: true, hasKeys: true},
		{refused: "keys need a store"},
		{keeps: true, refused: "swardcase key issue --operator"},
		{keeps: true, hasKeys: true},
	} {
		open, err := access.OpenToLocal(tt.loopback, tt.keeps, tt.hasKeys)
		if open != tt.open || (err != nil) != (tt.refused != "") || err != nil && !strings.Contains(err.Error(), tt.refused) {
			t.Errorf("%+v gave %v, %v", tt, open, err)
		}
	}
}

// TestOnlyTheOwnAddressIsLocal: a name that points here, or a proxy that brings
// others in, is not the user of this machine.
func TestOnlyTheOwnAddressIsLocal(t *testing.T) {
	svc := newService(t)
	for host, local := range map[string]bool{
		"127.0.0.1": true, "127.0.0.1:8480": true, "[::1]:8480": true, "[::1]": true, "localhost": true, "localhost:1": true, "127.8.9.1:80": true,
		"[::ffff:127.0.0.1]:80": true,
		"":                      false, "example.org": false, "example.org:8480": false, "192.0.2.1:8480": false, "localhost.example.org": false,
		"127.0.0.1.example.org": false, "0.0.0.0:8480": false, "[::]": false, "2130706433": false,
	} {
		r := httptest.NewRequest("GET", "/v1/clubs", nil)
		r.Host = host
		caller, err := access.NewGate(svc, true).ByKey(r)
		if (err == nil) != local || local != (caller.Role == service.RoleLocal) || err != nil && service.KindOf(err) != service.Unauthenticated {
			t.Errorf("%q: %+v, %v", host, caller, err)
		}
		if _, err := access.NewGate(svc, false).Local(r); service.KindOf(err) != service.Unauthenticated {
			t.Errorf("a closed gate let %q in", host)
		}
	}
}

// TestTheHeaderIsBearer: RFC 6750, section 2.1, with the scheme in any case, as
// RFC 9110, section 11.1, has it.
func TestTheHeaderIsBearer(t *testing.T) {
	for header, want := range map[string]string{
		"Bearer abc": "abc", "bearer abc": "abc", "BEARER  abc ": "abc",
		"Bearer": "", "Bearer ": "", "abc": "", "Basic abc": "", "": "", "Bearerabc": "",
	} {
		if got, is := access.Bearer(header); is != (want != "") || is && got != want {
			t.Errorf("%q gave %q, %v", header, got, is)
		}
	}
}

func newService(t *testing.T) *service.Service {
	t.Helper()
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		t.Fatal(err)
	}
	return svc
}
