// Package access says who may do what: the one table of needs for every route,
// and the gate that finds out who asks. The API and the pages both go through it.
package access

import (
	"fmt"
	"slices"

	"swardcase/api/service"
)

// Need is the least that a caller must be to use a route.
type Need struct {
	// Anyone may use it, without a key.
	Anyone bool
	// Role is the least role in the club of the address; where the address names
	// no club, in any. Empty stands for no role of a club.
	Role service.Role
	// Operator says whether an operator of the service may use it too.
	Operator bool
}

var (
	anyone   = Need{Anyone: true}
	viewer   = Need{Role: service.RoleViewer}
	editor   = Need{Role: service.RoleEditor}
	owner    = Need{Role: service.RoleOwner}
	operator = Need{Operator: true}
)

// orOperator lets an operator in as well.
func (n Need) orOperator() Need {
	n.Operator = true
	return n
}

// table has every operation of the contract by its operationId, and every page by
// its id. The server refuses to start over a route that is not here.
var table = map[string]Need{
	"getHealth":       anyone,
	"getReadiness":    anyone,
	"getContractJSON": anyone,
	"getContractYAML": anyone,

	// A trial keeps nothing, but costs the machine something.
	"postTrialCondition":  viewer.orOperator(),
	"postTrialDesign":     viewer.orOperator(),
	"postTrialAppraisal":  viewer.orOperator(),
	"postTrialForecast":   viewer.orOperator(),
	"postTrialBreakEven":  viewer.orOperator(),
	"postTrialCoursePlan": viewer.orOperator(),

	"listClubs":   viewer.orOperator(), // its own, or every one
	"createClub":  operator,
	"getClub":     viewer.orOperator(),
	"replaceClub": owner,
	"archiveClub": owner.orOperator(),
	"restoreClub": owner.orOperator(),

	"listAccessKeys":  owner.orOperator(),
	"createAccessKey": owner.orOperator(),
	"getAccessKey":    owner.orOperator(),
	"revokeAccessKey": owner.orOperator(),

	"listGreens":   viewer,
	"createGreen":  editor,
	"getGreen":     viewer,
	"replaceGreen": editor,
	"archiveGreen": editor,
	"restoreGreen": editor,
	"getTrend":     viewer,

	"listSurveys":   viewer,
	"createSurvey":  editor,
	"getSurvey":     viewer,
	"replaceSurvey": editor,
	"archiveSurvey": editor,
	"restoreSurvey": editor,
	"importSurveys": editor,

	"listPriceBooks":   viewer,
	"createPriceBook":  editor,
	"getPriceBook":     viewer,
	"replacePriceBook": editor,
	"archivePriceBook": editor,
	"restorePriceBook": editor,

	"listAppraisals":    viewer,
	"createAppraisal":   editor,
	"getAppraisal":      viewer,
	"archiveAppraisal":  editor,
	"restoreAppraisal":  editor,
	"createReappraisal": editor,
	"compareAppraisals": viewer,
	"getWorkbook":       viewer,
	"getPaper":          viewer,

	"listCoursePlans":   viewer,
	"createCoursePlan":  editor,
	"getCoursePlan":     viewer,
	"getCoursePlanCase": viewer,
	"cancelCoursePlan":  editor,
	"archiveCoursePlan": editor,
	"restoreCoursePlan": editor,

	"listShareLinks":  editor,
	"createShareLink": editor,
	"getShareLink":    editor,
	"revokeShareLink": editor,
	// The secret of the link is all that it asks for.
	"getSharedAppraisal": anyone,

	// Whoever reads it learns who works for the club.
	"listAuditEntries": owner,

	// Pages.
	"showFront":       anyone,
	"getAsset":        anyone,
	"showClubs":       viewer.orOperator(),
	"showClub":        viewer,
	"showGreen":       viewer,
	"showComparison":  viewer,
	"showAppraisal":   viewer,
	"showAssumptions": viewer,
	"showWorkings":    viewer,
	"showWhatIf":      viewer,
	"sendPaper":       viewer,
	"takeWhatIf":      editor,
	"sendWorkbook":    viewer,

	"showCoursePlans":        viewer,
	"showCoursePlan":         viewer,
	"sendCoursePlanWorkbook": viewer,
	"takeCoursePlanCancel":   editor,

	// The documentation of the API.
	"showDocs":         anyone,
	"showDocsSchemas":  anyone,
	"showDocsSchema":   anyone,
	"showDocsProblems": anyone,
	"showDocsTopic":    anyone,
	"showProblemKind":  anyone,

	// Who has the secret of a share link may read the one appraisal.
	"showShared":            anyone,
	"showSharedAssumptions": anyone,
	"showSharedWorkings":    anyone,
	"showSharedWhatIf":      anyone,
	"sendSharedPaper":       anyone,
	"sendSharedWorkbook":    anyone,

	"showSignIn":  anyone,
	"takeSignIn":  anyone,
	"takeSignOut": anyone,

	// Forms: whoever may not store a thing is not shown its form either.
	"showNewClub":      operator,
	"takeNewClub":      operator,
	"showClubChange":   owner,
	"takeClubChange":   owner,
	"showNewGreen":     editor,
	"takeNewGreen":     editor,
	"showGreenChange":  editor,
	"takeGreenChange":  editor,
	"showNewSurvey":    editor,
	"takeNewSurvey":    editor,
	"showSurveyChange": editor,
	"takeSurveyChange": editor,
	"showNewAppraisal": editor,
	"takeNewAppraisal": editor,
	"showNewPriceBook": editor,
	"takeNewPriceBook": editor,

	"showPriceBooks": viewer,
	"showPriceBook":  viewer,
}

// Of gives the need of a route.
func Of(route string) (Need, error) {
	need, known := table[route]
	if !known {
		return Need{}, fmt.Errorf("the table of access has no route %q: say there who may use it", route)
	}
	return need, nil
}

// Routes lists every route of the table, in order.
func Routes() []string {
	routes := make([]string, 0, len(table))
	for route := range table {
		routes = append(routes, route)
	}
	slices.Sort(routes)
	return routes
}

// Check says whether a caller may use a route for a club, whose id is empty where
// the address names none. Another club's is NotFound, whether it is there or not;
// too low a role is Forbidden; nobody at all is Unauthenticated.
func (n Need) Check(caller service.Caller, clubID string) error {
	switch {
	case n.Anyone, caller.Role == service.RoleLocal:
		return nil
	case caller.Role == "":
		return errNoKey()
	case caller.Role == service.RoleOperator:
		if n.Operator {
			return nil
		}
		return &service.Error{Kind: service.Forbidden, Detail: "An operator makes clubs and their keys, and sees nothing else of a club: use a key of the club."}
	case clubID != "" && clubID != caller.ClubID:
		return &service.Error{Kind: service.NotFound, Detail: "Your key knows no such club."}
	case n.Role == "":
		return &service.Error{Kind: service.Forbidden, Detail: "Only an operator of the service may do this."}
	case !caller.Role.Holds(n.Role):
		return &service.Error{Kind: service.Forbidden, Detail: fmt.Sprintf("It takes the role %s; your key has the role %s.", n.Role, caller.Role)}
	}
	return nil
}
