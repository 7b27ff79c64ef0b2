package api

import (
	"context"
	"net/http"

	"github.com/gin-gonic/gin"

	"osier/model"
)

// Privacy hands anglers what is stored of them, and forgets them.
type Privacy interface {
	Export(ctx context.Context, angler string) ([]byte, error)
	Forget(ctx context.Context, angler string) (model.Erasure, error)
}

// getExport answers GET /v1/anglers/{angler}/export: everything that is stored of
// one angler, as one archive, for that angler or an administrator.
func (s *Server) getExport(c *gin.Context) (answer, error) {
	angler, err := s.ownHandle(c)
	if err != nil {
		return answer{}, err
	}
	archive, err := s.Privacy.Export(c.Request.Context(), angler)
	return answer{
		body: archive, contentType: "application/zip",
		header: http.Header{"Content-Disposition": {`attachment; filename="osier-records.zip"`}},
	}, err
}

// deleteAngler answers DELETE /v1/anglers/{angler}: deletes everything of that
// angler and gives a receipt. The answer is not kept under an idempotency key:
// the path names the angler.
func (s *Server) deleteAngler(c *gin.Context) (answer, error) {
	angler, err := s.ownHandle(c)
	if err != nil {
		return answer{}, err
	}
	receipt, err := s.Privacy.Forget(c.Request.Context(), angler)
	return answer{body: receipt}, err
}

// ownHandle is the angler of the path, who asks or whom an administrator asks
// about. Of anybody else not even the name is known here.
func (s *Server) ownHandle(c *gin.Context) (string, error) {
	angler := c.Param("angler")
	if !s.who(c).IsAngler(angler) {
		return "", s.notThere(c, "angler", angler)
	}
	return angler, nil
}
