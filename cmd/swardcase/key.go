package main

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"regexp"
	"strings"
	"time"

	"swardcase/api/service"
	"swardcase/api/store"
)

var keyCommand = command{
	name:      "key",
	arguments: "issue|list|revoke [KEY_ID]",
	summary:   "Give out, list and revoke the keys of the API",
	detail: `
issue makes a key of a club, with the role of a viewer, an editor or an owner, or
the key of an operator, who makes clubs and their keys and sees nothing else of
them. The secret is the one line of the output: it is shown this once, and only
its hash is kept. list shows keys without their secrets. revoke ends a key for
good, by the id that list shows. From the first key on, the service asks for one.
` + placeHelp,
	define: func(flags *flag.FlagSet) action {
		var wanted keyWanted
		flags.StringVar(&wanted.club, "club", "", "the club, by its `NAME` or id")
		flags.StringVar(&wanted.role, "role", "", "the `ROLE` in the club: viewer, editor or owner")
		flags.BoolVar(&wanted.operator, "operator", false, "make the key of an operator instead")
		flags.StringVar(&wanted.label, "label", "", "who or what the key is for, in up to 60 `LETTERS` (usually its role)")
		flags.IntVar(&wanted.days, "days", 0, "how many `DAYS` it serves; without it, until it is revoked")
		where := placeFlag(flags)
		return func(ctx context.Context, p *process, arguments []string) (err error) {
			if len(arguments) == 0 {
				return &usageError{"key", "say issue, list or revoke"}
			}
			place := where(p)
			if place == (store.Place{}) {
				return &usageError{"key", "say which store: --store FILE, or DATABASE_URL"}
			}
			svc, leave, err := openService(ctx, place)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, leave()) }()
			ctx = service.WithCaller(ctx, service.LocalCaller("command line"))
			switch action, rest := arguments[0], arguments[1:]; {
			case action == "issue" && len(rest) == 0:
				return p.issueKey(ctx, svc, wanted)
			case action == "list" && len(rest) == 0:
				return p.listKeys(ctx, svc, wanted.club)
			case action == "revoke" && len(rest) == 1:
				return p.revokeKey(ctx, svc, rest[0])
			}
			return &usageError{"key", fmt.Sprintf("%q is not understood; say issue, list, or revoke and one id", strings.Join(arguments, " "))}
		}
	},
}

// keyWanted is what the flags say of a key.
type keyWanted struct {
	club, role, label string
	operator          bool
	days              int
}

func (p *process) issueKey(ctx context.Context, svc *service.Service, wanted keyWanted) error {
	var made service.NewAccessKey
	var whose string
	if wanted.label == "" {
		wanted.label = cmp.Or(wanted.role, "operator")
	}
	switch {
	case wanted.operator && (wanted.club != "" || wanted.role != ""):
		return &usageError{"key", "an operator belongs to no club: give --operator alone, or --club and --role"}
	case wanted.operator:
		var err error
		if made, err = svc.CreateOperatorKey(ctx, wanted.label, wanted.days); err != nil {
			return err
		}
		whose = "an operator"
	case wanted.club == "":
		return &usageError{"key", "say whose key: --club NAME and --role, or --operator"}
	default:
		club, err := findClub(ctx, svc, wanted.club)
		if err != nil {
			return err
		}
		body, err := json.Marshal(service.AccessKeyInput{Label: wanted.label, Role: service.Role(wanted.role), ValidDays: wanted.days})
		if err != nil {
			return err
		}
		document, err := svc.CheckDocument(ctx, "AccessKeyInput", body)
		if err != nil {
			return err
		}
		if made, err = svc.CreateAccessKey(ctx, service.Call{}, club.ID, document); err != nil {
			return err
		}
		whose = fmt.Sprintf("%s of %s", article(wanted.role), club.Name)
	}
	fmt.Fprintf(p.stderr, "This is the key %s, of %s, %s. It is shown this once.\n", made.ID, whose, lifeOf(made.AccessKey, time.Now()))
	_, err := fmt.Fprintln(p.stdout, made.Secret)
	return err
}

func article(role string) string {
	if strings.ContainsRune("aeio", rune(role[0])) {
		return "an " + role
	}
	return "a " + role
}

// lifeOf says in words how long a key serves.
func lifeOf(key service.AccessKey, now time.Time) string {
	switch {
	case key.RevokedAt != nil:
		return "revoked on " + key.RevokedAt.Format(time.DateOnly)
	case !key.Live(now):
		return "ended on " + key.ExpiresAt.Format(time.DateOnly)
	case key.ExpiresAt != nil:
		return "until " + key.ExpiresAt.Format(time.DateOnly)
	}
	return "until it is revoked"
}

var anID = regexp.MustCompile(`^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$`)

// findClub finds the one club of an id or a name.
func findClub(ctx context.Context, svc *service.Service, nameOrID string) (service.Club, error) {
	if anID.MatchString(nameOrID) {
		return svc.Club(ctx, nameOrID)
	}
	found, err := svc.Clubs(ctx, service.Filter{Name: nameOrID, Limit: 2})
	switch {
	case err != nil:
		return service.Club{}, err
	case len(found.Items) == 0:
		return service.Club{}, fmt.Errorf("there is no club called %q; give its name as it is stored, or its id", nameOrID)
	case len(found.Items) > 1:
		return service.Club{}, fmt.Errorf("several clubs are called %q, such as %s and %s: give the id of one", nameOrID, found.Items[0].ID, found.Items[1].ID)
	}
	return found.Items[0], nil
}

// everyKey reads all keys, page by page.
func everyKey(ctx context.Context, svc *service.Service) ([]service.AccessKey, error) {
	var all []service.AccessKey
	for f := (service.Filter{Limit: 200}); ; {
		page, err := svc.EveryAccessKey(ctx, f)
		if err != nil {
			return nil, err
		}
		all = append(all, page.Items...)
		if page.NextCursor == nil {
			return all, nil
		}
		f.After = *page.NextCursor
	}
}

func (p *process) listKeys(ctx context.Context, svc *service.Service, club string) error {
	only := ""
	if club != "" {
		found, err := findClub(ctx, svc, club)
		if err != nil {
			return err
		}
		only = found.ID
	}
	keys, err := everyKey(ctx, svc)
	if err != nil {
		return err
	}
	names := map[string]string{}
	var b strings.Builder
	for _, key := range keys {
		whose := "-"
		if key.ClubID != nil {
			if only != "" && *key.ClubID != only {
				continue
			}
			if names[*key.ClubID] == "" {
				found, err := svc.Club(ctx, *key.ClubID)
				if err != nil {
					return err
				}
				names[*key.ClubID] = found.Name
			}
			whose = names[*key.ClubID]
		} else if only != "" {
			continue
		}
		fmt.Fprintf(&b, "%s  %-8s  %-22s  %s: %s\n", key.ID, key.Role, lifeOf(key, time.Now()), whose, key.Label)
	}
	if b.Len() == 0 {
		b.WriteString("there are no keys\n")
	}
	_, err = io.WriteString(p.stdout, b.String())
	return err
}

func (p *process) revokeKey(ctx context.Context, svc *service.Service, id string) error {
	keys, err := everyKey(ctx, svc)
	if err != nil {
		return err
	}
	for _, key := range keys {
		if key.ID != id {
			continue
		}
		if key.ClubID == nil {
			key, err = svc.RevokeOperatorKey(ctx, id)
		} else {
			key, err = svc.RevokeAccessKey(ctx, *key.ClubID, id)
		}
		if err == nil {
			_, err = fmt.Fprintf(p.stdout, "%s is %s\n", key.ID, lifeOf(key, time.Now()))
		}
		return err
	}
	return fmt.Errorf("there is no key %q; swardcase key list shows their ids", id)
}
