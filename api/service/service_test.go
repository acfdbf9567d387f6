package service_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"swardcase/api/contract"
	"swardcase/api/service"
	"swardcase/model/fault"
)

func TestEveryKindHasAnOutcome(t *testing.T) {
	types := map[string]service.Kind{}
	for _, kind := range service.Kinds() {
		o := kind.Outcome()
		if http.StatusText(o.Status) == "" || o.Status < 400 || o.Title == "" || o.ExitCode != 1 && o.ExitCode != 2 {
			t.Errorf("kind %d has the outcome %+v", kind, o)
		}
		if !strings.HasPrefix(o.Type, "/problems/") {
			t.Errorf("kind %d has the type %q", kind, o.Type)
		}
		if other, taken := types[o.Type]; taken {
			t.Errorf("kinds %d and %d share the type %q", kind, other, o.Type)
		}
		types[o.Type] = kind
	}
}

func TestErrorsAreSorted(t *testing.T) {
	faults := fault.List{fault.New("/green", nil, "is wrong", "mend it")}
	tests := []struct {
		err    error
		kind   service.Kind
		exit   int
		faults int
	}{
		{nil, service.Internal, 0, 0},
		{errors.New("anything"), service.Internal, 1, 0},
		{faults, service.Faulty, 2, 1},
		{fmt.Errorf("read the case: %w", faults), service.Faulty, 2, 1},
		{faults[0], service.Faulty, 2, 1},
		{&contract.Unreadable{Faults: faults}, service.Unreadable, 2, 1},
		{contract.BadParameters{{Parameter: "limit"}}, service.BadParameters, 1, 0},
		{context.DeadlineExceeded, service.TimedOut, 1, 0},
		{context.Canceled, service.Unavailable, 1, 0},
		{&service.Error{Kind: service.Internal, Cause: faults}, service.Internal, 1, 0},
	}
	for _, tt := range tests {
		if tt.err != nil && service.KindOf(tt.err) != tt.kind {
			t.Errorf("%v is of kind %d, want %d", tt.err, service.KindOf(tt.err), tt.kind)
		}
		if got := service.ExitCode(tt.err); got != tt.exit {
			t.Errorf("%v exits with %d, want %d", tt.err, got, tt.exit)
		}
		if got := service.Faults(tt.err); len(got) != tt.faults {
			t.Errorf("%v gives the faults %v, want %d", tt.err, got, tt.faults)
		}
	}
}

func TestAnErrorNamesItsCauseOnlyInTheLog(t *testing.T) {
	cause := errors.New("the disk is full")
	err := &service.Error{Kind: service.Unavailable, Detail: "Try again in a moment.", Cause: cause}
	if !errors.Is(err, cause) || err.Error() != "Try again in a moment.: the disk is full" {
		t.Errorf("got %q", err)
	}
}

// TestMoneyMeansSomethingInItsCurrency: places by ISO 4217, two for the pound,
// none for the yen, three for the Kuwaiti dinar.
func TestMoneyMeansSomethingInItsCurrency(t *testing.T) {
	svc, err := service.New(service.ModelEngine())
	if err != nil {
		t.Fatal(err)
	}
	tests := []struct{ amount, currency, pointer, detail string }{
		{"12.34", "GBP", "", ""},
		{"12.345", "GBP", "/requirements/capital_ceiling/amount", "is not an amount of GBP, which has 2 decimal places"},
		{"12.5", "JPY", "/requirements/capital_ceiling/amount", "is not an amount of JPY, which has 0 decimal places"},
		{"12", "JPY", "", ""},
		{"12.345", "KWD", "", ""},
		{"12.3456", "KWD", "/requirements/capital_ceiling/amount", "is not an amount of KWD, which has 3 decimal places"},
		{"12", "XQX", "/requirements/capital_ceiling/currency", "is not a currency known here"},
		{"1e5", "GBP", "/requirements/capital_ceiling/amount", "is not written as it must be"},
	}
	for _, tt := range tests {
		body := fmt.Sprintf(`{"case_format":1,"site":{"latitude_deg":52,"climate":{}},"green":{"name":"A","area_m2":400,"perimeter_m":75,"age_years":9,"has_drains":false},`+
			`"survey":{"surveyed_on":"2026-02-12"},"requirements":{"capital_ceiling":{"amount":%q,"currency":%q}}}`, tt.amount, tt.currency)
		_, err := svc.ReadCase([]byte(body))
		faults := service.Faults(err)
		if tt.pointer == "" {
			if err != nil {
				t.Errorf("%s %s: %v", tt.amount, tt.currency, err)
			}
			continue
		}
		if len(faults) != 1 || faults[0].Pointer != tt.pointer || faults[0].Detail != tt.detail {
			t.Errorf("%s %s: %v", tt.amount, tt.currency, err)
		}
	}
}

type someCase struct {
	Title string `json:"title"`
}

func TestAnswersComeFromTheEngine(t *testing.T) {
	svc, err := service.New(service.Engine{
		JudgeCondition: service.ComputeWith(func(c someCase) (string, error) { return "condition of " + c.Title, nil }),
		DesignWorks:    service.ComputeWith(func(c someCase) (string, error) { return "design of " + c.Title, nil }),
		Appraise: service.ComputeWith(func(c someCase) (string, error) {
			return "", fault.List{fault.New("/title", c.Title, "is dull", "think again")}
		}),
		BreakEven: service.ComputeWith(func(c someCase) (string, error) { return "break-even of " + c.Title, nil }),
		Forecast:  service.ComputeWith(func(c someCase) (string, error) { return "forecast of " + c.Title, nil }),
		PlanCourse: func(context.Context, json.RawMessage, func(service.Progress)) (service.Planned, error) {
			return service.Planned{}, nil
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	body, err := os.ReadFile(filepath.FromSlash("../../testdata/cases/small.json"))
	if err != nil {
		t.Fatal(err)
	}
	document, err := svc.ReadCase(body)
	if err != nil {
		t.Fatal(err)
	}
	report, err := svc.JudgeCondition(t.Context(), document)
	if want := "condition of A small invented case: every part of the document once"; err != nil || report != want {
		t.Errorf("got %v, %v, want %q", report, err, want)
	}
	forecast, err := svc.Forecast(t.Context(), document)
	if want := "forecast of A small invented case: every part of the document once"; err != nil || forecast != want {
		t.Errorf("got %v, %v, want %q", forecast, err, want)
	}
	report, err = svc.DesignWorks(t.Context(), document)
	if want := "design of A small invented case: every part of the document once"; err != nil || report != want {
		t.Errorf("got %v, %v, want %q", report, err, want)
	}
	if _, err := svc.Appraise(t.Context(), document); service.KindOf(err) != service.Faulty {
		t.Errorf("got %v, want the model's fault", err)
	}
	gone, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := svc.JudgeCondition(gone, document); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v for a caller who has gone", err)
	}
	if _, err := svc.ReadCase([]byte(`{"case_format":2}`)); service.KindOf(err) != service.Faulty {
		t.Errorf("got %v for a case of an unknown format", err)
	}
}
