package pages

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"

	"swardcase/api/contract"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

// source is the appraisal that a page is about, and the address at which it is
// read: that of the club's own pages, or a share link, which shows this one
// appraisal and changes nothing.
type source struct {
	stored  service.Appraisal
	address string
	trail   []Crumb
	shared  *service.SharedAppraisal // nil for the club's own
}

// answer reads the stored result.
func (s source) answer() (model.Appraisal, error) {
	var a model.Appraisal
	if err := json.Unmarshal(s.stored.Result, &a); err != nil {
		return a, fmt.Errorf("read the result of appraisal %s: %w", s.stored.ID, err)
	}
	if len(a.Options) == 0 || a.Case.Money == nil || a.Case.Money.HorizonYears == nil {
		return a, fmt.Errorf("the result of appraisal %s has no options or no terms of money", s.stored.ID)
	}
	return a, nil
}

// below is the trail to a page below that of the appraisal.
func (s source) below(title string) []Crumb {
	return append(slices.Clone(s.trail), Crumb{title, s.address})
}

// ofClub is the source of a club's own appraisal.
func (p *Pages) ofClub(v Visit) (source, error) {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	stored, err := p.service.Appraisal(ctx, clubID, v.Param("appraisal_id"))
	if err != nil {
		return source{}, err
	}
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return source{}, err
	}
	green, err := p.service.Green(ctx, clubID, stored.GreenID)
	if err != nil {
		return source{}, err
	}
	return source{
		stored: stored, address: appraisalAddress(clubID, stored.ID),
		trail: greenTrail(club, green),
	}, nil
}

// ofLink is the source of an appraisal that was shared by a link.
func (p *Pages) ofLink(v Visit) (source, error) {
	shared, err := p.service.SharedAppraisal(v.Request().Context(), v.Param("token"))
	if err != nil {
		return source{}, err
	}
	return source{stored: shared.Appraisal, address: sharedAddress(v.Param("token")), shared: &shared}, nil
}

// onClub and onLink make the handler of a page about an appraisal, read at the
// club's own address or by a share link.
func onClub(show func(*Pages, Visit, source) error) Handler {
	return inTurn((*Pages).ofClub, show)
}

func onLink(show func(*Pages, Visit, source) error) Handler {
	return inTurn((*Pages).ofLink, show)
}

// showAppraisal shows one stored appraisal.
func (p *Pages) showAppraisal(v Visit, from source) error {
	kept, err := p.keptOf(v.Request().Context(), from)
	if err != nil {
		return err
	}
	shown := paperOf(kept, from.address)
	if from.shared != nil {
		shown.Shared = fmt.Sprintf("Shared by %s, to read until %s.", from.shared.ClubName, from.shared.ExpiresAt.Format("2 January 2006"))
	}
	return p.show(v, http.StatusOK, "appraisal", Frame{Title: shown.Title, Trail: from.trail, Body: shown})
}

// kept is a stored appraisal, read, with the drawings of its design.
type kept struct {
	stored service.Appraisal
	answer model.Appraisal
	design *model.DesignReport
}

// keptOf reads a stored appraisal. Its drawings are made anew from its case: they
// are left out where this engine cannot design it, since an older one may have
// made the appraisal.
func (p *Pages) keptOf(ctx context.Context, from source) (kept, error) {
	out := kept{stored: from.stored}
	var err error
	if out.answer, err = from.answer(); err != nil {
		return out, err
	}
	document, err := p.service.CheckDocument(ctx, service.CaseSchema, from.stored.Case)
	if err == nil {
		out.design, err = p.designOf(ctx, document)
	}
	if err != nil && service.KindOf(err) != service.Faulty {
		return out, err
	}
	return out, nil
}

func (p *Pages) designOf(ctx context.Context, document contract.Document) (*model.DesignReport, error) {
	design, err := service.As[model.DesignReport](p.service.DesignWorks(ctx, document))
	if err != nil {
		return nil, err
	}
	return &design, nil
}

// titleOf is what an appraisal is called.
func titleOf(a model.Appraisal) string { return report.Title(a.Case.Title, a.Case.Green.Name) }
