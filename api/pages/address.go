package pages

import "net/url"

// The addresses of the pages, in one place. Ids come from the store or have been
// looked up there; they are escaped all the same.

const clubsAddress = "/clubs"

func clubAddress(clubID string) string { return clubsAddress + "/" + url.PathEscape(clubID) }

func greenAddress(clubID, greenID string) string {
	return clubAddress(clubID) + "/greens/" + url.PathEscape(greenID)
}

func surveyAddress(clubID, surveyID string) string {
	return clubAddress(clubID) + "/surveys/" + url.PathEscape(surveyID)
}

func appraisalAddress(clubID, appraisalID string) string {
	return clubAddress(clubID) + "/appraisals/" + url.PathEscape(appraisalID)
}

// sharedAddress is that of a share link; whoever has it may read.
func sharedAddress(token string) string { return "/shared/" + url.PathEscape(token) }

func comparisonAddress(clubID string) string { return clubAddress(clubID) + "/comparison" }

// clubTrail leads to a page below the home of a club.
func clubTrail(clubID, name string) []Crumb {
	return []Crumb{{"Clubs", clubsAddress}, {name, clubAddress(clubID)}}
}

// greenTrail leads to a page below that of a green.
func greenTrail(clubID, club, greenID, green string) []Crumb {
	return append(clubTrail(clubID, club), Crumb{green, greenAddress(clubID, greenID)})
}
