package pages

import (
	"net/url"

	"swardcase/api/service"
)

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

func priceBooksAddress(clubID string) string { return clubAddress(clubID) + "/price-books" }

func priceBookAddress(clubID, bookID string) string {
	return priceBooksAddress(clubID) + "/" + url.PathEscape(bookID)
}

func coursePlansAddress(clubID string) string { return clubAddress(clubID) + "/course-plans" }

func coursePlanAddress(clubID, planID string) string {
	return coursePlansAddress(clubID) + "/" + url.PathEscape(planID)
}

// The trails that lead to a page: to the home of a club, and to what lies below
// that, below a green, or below one of the lists of a club.

func clubsTrail() []Crumb { return []Crumb{{"Clubs", clubsAddress}} }

func clubTrail(club service.Club) []Crumb {
	return append(clubsTrail(), Crumb{club.Name, clubAddress(club.ID)})
}

func greenTrail(club service.Club, green service.Green) []Crumb {
	return append(clubTrail(club), Crumb{greenTitle(green), greenAddress(club.ID, green.ID)})
}

func priceBooksTrail(club service.Club) []Crumb {
	return append(clubTrail(club), Crumb{"Price books", priceBooksAddress(club.ID)})
}

func coursePlansTrail(club service.Club) []Crumb {
	return append(clubTrail(club), Crumb{"Course plans", coursePlansAddress(club.ID)})
}

// greenTitle is what the page of a green is called.
func greenTitle(green service.Green) string { return "Green " + green.Green.Name }
