package api_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"sync"
	"testing"
	"time"

	"github.com/gin-gonic/gin"
)

// BenchmarkReadsAgainstABareHandler gives the throughput of cached reads as a
// share of that of a bare gin handler which sends the same bytes. Both are asked
// over loopback by the same callers, in turns within one run.
func BenchmarkReadsAgainstABareHandler(b *testing.B) {
	for _, c := range []struct {
		name     string
		path     func(h *house) string
		repeated bool // the caller has it already: 304
	}{
		{"plan", issuedPlan, false},
		{"plan, not modified", issuedPlan, true},
		{"conditions", func(*house) string { return "/v1/waters/quillmarsh-pit/conditions" }, false},
		{"waters", func(*house) string { return "/v1/waters" }, false},
	} {
		b.Run(c.name, func(b *testing.B) {
			h := newPit(b)
			path := c.path(h)
			first := h.send("GET", path, "")
			etag := ""
			if c.repeated {
				etag = first.Header().Get("ETag")
			}
			ours := newAsker(b, h.api, path, etag)
			bare := newAsker(b, bareHandler(first.Body.Bytes(), first.Header().Get("Content-Type")), path, etag)
			b.ResetTimer()
			var tookOurs, tookBare time.Duration
			for b.Loop() {
				tookBare += bare.ask(b)
				tookOurs += ours.ask(b)
			}
			b.ReportMetric(float64(tookBare)/float64(tookOurs), "of_bare")
			b.ReportMetric(float64(b.N*callers*asks)/tookOurs.Seconds(), "reads/s")
		})
	}
}

// A turn is so many callers who ask so often.
const callers, asks = 4, 250

func issuedPlan(h *house) string {
	return h.wants(h.send("POST", "/v1/plans", question), http.StatusOK).Header().Get("Content-Location")
}

// bareHandler sends the same bytes always, or that they did not change.
func bareHandler(body []byte, contentType string) http.Handler {
	gin.SetMode(gin.ReleaseMode)
	e := gin.New()
	e.NoRoute(func(c *gin.Context) {
		if c.GetHeader("If-None-Match") != "" {
			c.Status(http.StatusNotModified)
			c.Writer.WriteHeaderNow()
			return
		}
		c.Data(http.StatusOK, contentType, body)
	})
	return e
}

// asker asks one thing of one server again and again.
type asker struct {
	client *http.Client
	url    string
	etag   string
}

func newAsker(b *testing.B, h http.Handler, path, etag string) asker {
	b.Helper()
	server := httptest.NewServer(h)
	b.Cleanup(server.Close)
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: callers}}
	b.Cleanup(client.CloseIdleConnections)
	return asker{client: client, url: server.URL + path, etag: etag}
}

// ask is one turn, and how long it took.
func (a asker) ask(b *testing.B) time.Duration {
	began := time.Now()
	var wg sync.WaitGroup
	for range callers {
		wg.Go(func() {
			for range asks {
				if err := a.one(); err != nil {
					b.Error(err)
					return
				}
			}
		})
	}
	wg.Wait()
	return time.Since(began)
}

func (a asker) one() error {
	r, err := http.NewRequest(http.MethodGet, a.url, nil)
	if err != nil {
		return err
	}
	if a.etag != "" {
		r.Header.Set("If-None-Match", a.etag)
	}
	w, err := a.client.Do(r)
	if err != nil {
		return err
	}
	if _, err := io.Copy(io.Discard, w.Body); err != nil {
		return err
	}
	return w.Body.Close()
}
