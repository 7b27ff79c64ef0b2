package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/model"
)

// postImport answers POST /v1/imports: takes a file of session records, CSV or
// JSON, in any of the three styles, and reports on every row.
func (s *Server) postImport(c *gin.Context) (answer, error) {
	body, err := readBody(c, maxImportBytes, "text/csv", "application/json")
	if err != nil {
		return answer{}, err
	}
	name := "upload.csv"
	if c.ContentType() == "application/json" {
		name = "upload.json"
	}
	angler, err := auth.Handle(s.who(c), "angler", c.Query("angler"))
	if err != nil {
		return answer{}, err
	}
	takeIn := s.Recorder.Import
	if s.who(c).Role != model.Administrator {
		takeIn = s.Recorder.ImportOwn
	}
	report, err := takeIn(c.Request.Context(), name, c.Query("water"), angler, body)
	if err != nil {
		return answer{}, err
	}
	return answer{status: http.StatusCreated, body: report, header: http.Header{"Location": {"/v1/imports/" + report.ID}}}, nil
}

// getImport answers GET /v1/imports/{import}.
func (s *Server) getImport(c *gin.Context) (answer, error) {
	report, err := s.Recorder.ImportReport(c.Request.Context(), c.Param("import"))
	if err == nil && !s.who(c).IsAngler(report.Angler) {
		err = s.notThere(c, "import", report.ID)
	}
	return answer{body: report, cacheControl: "private, no-cache"}, err
}
