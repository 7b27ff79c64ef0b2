package page

import "slices"

// routes are the pages that the server renders, with the forms they send, by
// method and path. They are no operations of the API: the contract test leaves
// out these very routes and no other.
var routes = []string{
	"GET /", "GET /docs",
	"GET /waters/:water", "GET /waters/:water/season", "GET /waters/:water/weather", "GET /waters/:water/outlook",
	"GET /plan", "POST /plan", "GET /plans/:plan",
	"GET /sessions/:session",
	"GET /clubs/:club", "GET /clubs/:club/outlooks/:outlook", "GET /track-record", "GET /findings",
	"GET /clubs/:club/office", "POST /clubs/:club/office/outlooks/:outlook/notes", "POST /clubs/:club/office/outlooks/:outlook/publish",
	"POST /clubs/:club/office/restrictions", "POST /clubs/:club/office/restrictions/:restriction/lift",
	"GET /sign-in", "POST /sign-in", "POST /sign-out", "GET /sign-in/service", "GET /sign-in/return",
}

// Routes lists them.
func Routes() []string { return slices.Clone(routes) }
