package api

import (
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/page"
)

// pagePolicy lets a page load its own files and ask its own server, and nothing
// else; no script or style stands in the page itself.
const pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'none'; base-uri 'none'; frame-ancestors 'none'"

// bank serves the bankside page. A phone asks each time whether what it has is
// still the newest: an old script against a new server would lose events.
func (s *Server) bank() error {
	files, err := page.Bank(s.Demo)
	if err != nil {
		return err
	}
	for path, file := range files {
		s.get(path, auth.Public, func(*gin.Context) (answer, error) { return pageAnswer(path, file), nil })
	}
	return nil
}

func pageAnswer(path string, file page.File) answer {
	header := http.Header{"Content-Security-Policy": {pagePolicy}, "Referrer-Policy": {"no-referrer"}}
	if path == page.BankWorker { // else it may keep only what lies below its own folder
		header.Set("Service-Worker-Allowed", page.BankPath)
	}
	return answer{body: file.Body, contentType: file.Type, cacheControl: "no-cache", header: header}
}
