package main

import (
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
)

// composed is as much of compose.yaml as is looked at.
type composed struct {
	Services map[string]struct {
		Image       string
		Build       *struct{ Dockerfile string }
		ReadOnly    bool     `yaml:"read_only"`
		CapDrop     []string `yaml:"cap_drop"`
		SecurityOpt []string `yaml:"security_opt"`
		Command     []string
		User        string
		Privileged  bool
		Environment map[string]string
		Secrets     []string
		Volumes     []string
		Ports       []string
		Healthcheck *struct{ Test []string }
		DependsOn   map[string]struct{ Condition string } `yaml:"depends_on"`
		Networks    any
	}
	Secrets map[string]struct{ File string }
}

func readComposed(t *testing.T) composed {
	t.Helper()
	var c composed
	if err := yaml.Unmarshal(readProjectFile(t, "compose.yaml"), &c); err != nil {
		t.Fatal(err)
	}
	return c
}

func readProjectFile(t *testing.T, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(projectRoot + "/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// imageName is one without the host of a registry before it.
var imageName = regexp.MustCompile(`^[a-z]+(:[a-z0-9.-]+)?$`)

// goVariables are what Go's runtime and the database's driver read by themselves.
var goVariables = []string{"GOMEMLIMIT", "GOGC", "PGPASSFILE"}

// TestTheContainersAreClosed holds every service of compose.yaml to the rules that
// keep a break-in small.
func TestTheContainersAreClosed(t *testing.T) {
	c := readComposed(t)
	for _, name := range []string{"database", "migrate", "replica_one", "replica_two", "proxy"} {
		s, there := c.Services[name]
		if !there {
			t.Errorf("there is no service %s", name)
			continue
		}
		if !s.ReadOnly || !slices.Equal(s.CapDrop, []string{"ALL"}) || !slices.Equal(s.SecurityOpt, []string{"no-new-privileges:true"}) || s.Privileged {
			t.Errorf("%s is not closed: %+v", name, s)
		}
		if s.Healthcheck == nil && name != "migrate" {
			t.Errorf("%s has no health check", name)
		}
		if !imageName.MatchString(s.Image) {
			t.Errorf("%s has the image %q", name, s.Image)
		}
		for _, port := range s.Ports {
			if name != "proxy" || !strings.HasPrefix(port, "127.0.0.1:") {
				t.Errorf("%s publishes %s", name, port)
			}
		}
		for _, secret := range s.Secrets {
			if file := c.Secrets[secret].File; !strings.HasPrefix(file, ".secrets/") {
				t.Errorf("%s has the secret %s from %q", name, secret, file)
			}
		}
		for variable, value := range s.Environment {
			if file, is := strings.CutPrefix(value, "/run/secrets/"); is && !slices.Contains(s.Secrets, file) {
				t.Errorf("%s reads %s from a secret that it does not have", name, variable)
			}
			if strings.Contains(variable, "PASSWORD") && !strings.HasSuffix(variable, "_FILE") {
				t.Errorf("%s has a password in %s", name, variable)
			}
		}
	}
	if len(c.Services) != 5 {
		t.Errorf("there are %d services; each needs its line above", len(c.Services))
	}
	if got := string(readProjectFile(t, ".gitignore")) + string(readProjectFile(t, ".dockerignore")); strings.Count(got, ".secrets") != 2 {
		t.Error("the secrets may get into the repository or into an image")
	}
}

// TestTheReplicasCanBeStartedSo reads what compose.yaml sets as the service would.
func TestTheReplicasCanBeStartedSo(t *testing.T) {
	c := readComposed(t)
	one, two := c.Services["replica_one"], c.Services["replica_two"]
	for variable, value := range one.Environment {
		if two.Environment[variable] != value {
			t.Errorf("the replicas differ in %s", variable)
		}
		checkVariable(t, variable)
	}
	settings, err := readFrom(t, nil, one.Environment)
	if err != nil {
		t.Fatal(err)
	}
	if settings.address != "0.0.0.0:8480" || settings.drainDelay == 0 {
		t.Errorf("%+v", settings)
	}
	// The proxy is trusted, and nobody else.
	if proxy, _ := c.Services["proxy"].Networks.(map[string]any)["inside"].(map[string]any)["ipv4_address"].(string); len(settings.trusted) != 1 ||
		settings.trusted[0].String() != proxy+"/32" {
		t.Errorf("trusted is %v, and the proxy is at %s", settings.trusted, proxy)
	}
	// The owner's login makes the tables, another serves.
	owner, server := userOf(t, c.Services["migrate"].Environment["DATABASE_URL"]), userOf(t, one.Environment["DATABASE_URL"])
	if owner != c.Services["database"].Environment["POSTGRES_USER"] || server == owner ||
		!strings.Contains(string(readProjectFile(t, "cmd/swardcase/deploy/roles.sql")), "CREATE ROLE "+server+" LOGIN") {
		t.Errorf("the owner is %s, the server %s", owner, server)
	}
	if got := one.DependsOn["migrate"].Condition; got != "service_completed_successfully" {
		t.Errorf("the replicas wait for migrate: %q", got)
	}
	if command := c.Services["migrate"].Command; !slices.Equal(command, []string{"migrate", "up"}) || c.Services["migrate"].Build == nil {
		t.Errorf("migrate runs %q", command)
	}
}

func checkVariable(t *testing.T, variable string) {
	t.Helper()
	known := slices.ContainsFunc(settings, func(s setting) bool { return s.variable == variable })
	if !known && !slices.Contains(goVariables, variable) {
		t.Errorf("%s is no setting", variable)
	}
}

// userOf is the login in an address, which may hold no password.
func userOf(t *testing.T, address string) string {
	t.Helper()
	at, err := url.Parse(address)
	if err != nil {
		t.Fatal(err)
	}
	if _, has := at.User.Password(); has {
		t.Errorf("there is a password in %s", address)
	}
	return at.User.Username()
}

// TestTheImageIsNobodys: the binary is static, its user has no name and no rights.
func TestTheImageIsNobodys(t *testing.T) {
	text := string(readProjectFile(t, "cmd/swardcase/Dockerfile"))
	stages := regexp.MustCompile(`(?m)^FROM (\S+)`).FindAllStringSubmatch(text, -1)
	if len(stages) != 2 || !imageName.MatchString(stages[0][1]) || stages[1][1] != "scratch" {
		t.Errorf("the stages are %q", stages)
	}
	last := text[strings.LastIndex(text, "FROM"):]
	if !strings.Contains(text, "CGO_ENABLED=0") || !regexp.MustCompile(`(?m)^USER [1-9]\d{3,}:[1-9]\d{3,}$`).MatchString(last) {
		t.Errorf("the image is not of a static binary that runs as nobody:\n%s", text)
	}
}

// TestTheUnitSetsWhatThereIs holds the example for systemd to the settings.
func TestTheUnitSetsWhatThereIs(t *testing.T) {
	text := string(readProjectFile(t, "cmd/swardcase/deploy/swardcase.service"))
	env := map[string]string{}
	for _, line := range regexp.MustCompile(`(?m)^Environment=([A-Z_]+)=(.*)$`).FindAllStringSubmatch(text, -1) {
		checkVariable(t, line[1])
		env[line[1]] = line[2]
	}
	if len(env) < 3 {
		t.Errorf("only %v are set", env)
	}
	if _, err := readFrom(t, nil, env); err != nil {
		t.Error(err)
	}
	for _, want := range []string{"DynamicUser=yes", "NoNewPrivileges=yes", "ProtectSystem=strict", "CapabilityBoundingSet=\n", "SystemCallFilter=@system-service"} {
		if !strings.Contains(text, want) {
			t.Errorf("the unit lacks %s", want)
		}
	}
}
