package api

import (
	"net/http"
	"strconv"

	"github.com/labstack/echo/v4"

	"swardcase/api/contract"
	"swardcase/api/service"
)

// The headers of what is kept.
const (
	headerETag           = "ETag"
	headerIfMatch        = contract.HeaderIfMatch
	headerIdempotencyKey = "Idempotency-Key"
)

// versioned is a stored thing: one with a service.Record in it.
type versioned interface {
	Identity() string
	Tag() string
}

// callOf says under which Idempotency-Key something is asked. A request without a
// body is told from another by the version that it is meant for.
func callOf(c echo.Context, in request) service.Call {
	r := c.Request()
	body := in.body
	if body == nil {
		body = []byte(r.Header.Get(headerIfMatch))
	}
	return service.Call{
		Route:          r.Method + " " + r.URL.Path,
		IdempotencyKey: r.Header.Get(headerIdempotencyKey), Body: body,
	}
}

// filterOf reads the query of a list. The contract has checked each value.
func filterOf(c echo.Context) service.Filter {
	limit, _ := strconv.Atoi(c.QueryParam("limit"))
	after, _ := strconv.ParseInt(c.QueryParam("cursor"), 10, 64)
	return service.Filter{
		ClubID: c.Param("club_id"), GreenID: c.QueryParam("green_id"), SeriesID: c.QueryParam("series_id"),
		ReappraisesID: c.QueryParam("reappraises_id"), NounID: c.QueryParam("noun_id"), State: c.QueryParam("state"),
		Name: c.QueryParam("name"), From: c.QueryParam("from"), To: c.QueryParam("to"),
		Archived: c.QueryParam("archived") == "true",
		After:    c.QueryParam("cursor"), AfterNumber: after, Limit: limit,
	}
}

// write sends what a use case gave, unless it failed.
func write(c echo.Context, thing any, err error) error {
	if err != nil {
		return err
	}
	return writeJSON(c, http.StatusOK, thing)
}

// writeThing sends a stored thing with its tag.
func writeThing(c echo.Context, thing versioned, err error) error {
	if err != nil {
		return err
	}
	c.Response().Header().Set(headerETag, thing.Tag())
	return writeJSON(c, http.StatusOK, thing)
}

// writeNew sends a new thing with its tag and its address below a collection.
func writeNew(c echo.Context, collection string, thing versioned, err error) error {
	return writeMade(c, http.StatusCreated, collection, thing, err)
}

func writeMade(c echo.Context, status int, collection string, thing versioned, err error) error {
	if err != nil {
		return err
	}
	c.Response().Header().Set(headerETag, thing.Tag())
	c.Response().Header().Set(echo.HeaderLocation, collection+"/"+thing.Identity())
	return writeJSON(c, status, thing)
}
