package pages

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"

	"swardcase/api/contract"
	"swardcase/api/report"
	"swardcase/api/service"
	"swardcase/model"
)

// showAppraisal shows one stored appraisal.
func (p *Pages) showAppraisal(v Visit) error {
	ctx, clubID := v.Request().Context(), v.Param("club_id")
	stored, err := p.service.Appraisal(ctx, clubID, v.Param("appraisal_id"))
	if err != nil {
		return err
	}
	club, err := p.service.Club(ctx, clubID)
	if err != nil {
		return err
	}
	kept, err := p.keptOf(ctx, stored)
	if err != nil {
		return err
	}
	shown := paperOf(kept, appraisalAddress(clubID, stored.ID))
	shown.Trail = greenTrail(clubID, club.Name, stored.GreenID, "Green "+kept.answer.Case.Green.Name)
	return p.showPaper(v, shown)
}

func (p *Pages) showPaper(v Visit, shown paper) error {
	return p.show(v, http.StatusOK, "appraisal", Frame{Title: shown.Title, Trail: shown.Trail, Body: shown})
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
func (p *Pages) keptOf(ctx context.Context, stored service.Appraisal) (kept, error) {
	out := kept{stored: stored}
	if err := json.Unmarshal(stored.Result, &out.answer); err != nil {
		return out, fmt.Errorf("read the result of appraisal %s: %w", stored.ID, err)
	}
	if len(out.answer.Options) == 0 || out.answer.Case.Money == nil || out.answer.Case.Money.HorizonYears == nil {
		return out, fmt.Errorf("the result of appraisal %s has no options or no terms of money", stored.ID)
	}
	document, err := p.service.ReadCase(stored.Case)
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
