package api_test

import (
	"bytes"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"

	"osier/model"
	"osier/openapi"
)

// filled is a house in which every read has something to give.
func filled(t *testing.T) (h *house, paths []string) {
	t.Helper()
	h = newPit(t)
	plan := read[model.Plan](t, h.wants(h.send("POST", "/v1/plans", question), 200))
	session := h.wants(h.send("POST", "/v1/sessions", summary), 201).Header().Get("Location")
	report := h.wants(h.send("POST", "/v1/imports", csvFile, header{"Content-Type", "text/csv"}), 201).Header().Get("Location")
	must(t, h.db.PutJobRun(t.Context(), jobRun("1")))
	return h, []string{
		"/openapi.yaml", "/v1/waters", "/v1/waters/quillmarsh-pit", "/v1/waters/quillmarsh-pit/conditions",
		"/v1/waters/quillmarsh-pit/season", "/v1/waters/quillmarsh-pit/readings",
		"/v1/plans/" + plan.ID, session, report, "/v1/jobs",
	}
}

func TestReadsAreValidated(t *testing.T) {
	h, paths := filled(t)
	for _, path := range paths {
		t.Run(path, func(t *testing.T) {
			h := h.on(t)
			first := h.wants(h.send("GET", path, ""), 200)
			tag := first.Header().Get("ETag")
			if len(tag) < 4 || !strings.HasPrefix(tag, `"`) || first.Header().Get("Cache-Control") == "" {
				t.Fatalf("the validators are %v", first.Header())
			}
			if again := h.wants(h.send("GET", path, ""), 200); again.Header().Get("ETag") != tag || !bytes.Equal(again.Body.Bytes(), first.Body.Bytes()) {
				t.Error("the same read gave another answer")
			}
			for _, held := range []string{tag, "W/" + tag, `"older", ` + tag, "*"} {
				w := h.wants(h.send("GET", path, "", header{"If-None-Match", held}), http.StatusNotModified)
				if w.Body.Len() != 0 || w.Header().Get("ETag") != tag {
					t.Errorf("If-None-Match %s: body %q, ETag %s", held, w.Body, w.Header().Get("ETag"))
				}
			}
			h.wants(h.send("GET", path, "", header{"If-None-Match", `"older"`}), 200)
		})
	}
}

func TestHEADOverTheWire(t *testing.T) {
	h, paths := filled(t)
	server := httptest.NewServer(h.watched)
	t.Cleanup(server.Close)
	for _, path := range append(paths, "/healthz", "/readyz") {
		t.Run(path, func(t *testing.T) {
			get, got := over(t, server, http.MethodGet, path)
			head, empty := over(t, server, http.MethodHead, path)
			if head.StatusCode != 200 || get.StatusCode != 200 {
				t.Fatalf("GET answered %d, HEAD %d", get.StatusCode, head.StatusCode)
			}
			if len(empty) != 0 || len(got) == 0 {
				t.Errorf("HEAD gave %d bytes, GET %d", len(empty), len(got))
			}
			for _, name := range []string{"ETag", "Content-Type", "Cache-Control"} {
				if head.Header.Get(name) != get.Header.Get(name) {
					t.Errorf("%s is %q for HEAD and %q for GET", name, head.Header.Get(name), get.Header.Get(name))
				}
			}
		})
	}
}

func over(t *testing.T, server *httptest.Server, method, path string) (*http.Response, []byte) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, server.URL+path, nil)
	must(t, err)
	w, err := server.Client().Do(r)
	must(t, err)
	body, err := io.ReadAll(w.Body)
	must(t, err)
	must(t, w.Body.Close())
	return w, body
}

func TestTheDocumentIsServedAsItStands(t *testing.T) {
	w := newHouse(t).send("GET", "/openapi.yaml", "")
	if !bytes.Equal(w.Body.Bytes(), openapi.Document()) || w.Header().Get("Content-Type") != "application/yaml" {
		t.Errorf("%q of %d bytes was served", w.Header().Get("Content-Type"), w.Body.Len())
	}
}

func TestWatersPageByCursor(t *testing.T) {
	h := newHouse(t)
	for i := range 5 {
		h.wants(h.send("PUT", fmt.Sprintf("/v1/waters/pond-%d", i), pit), 201)
	}
	type page struct {
		Waters []model.Water
		Next   *string
	}
	var got []string
	path := "/v1/waters?limit=2"
	for pages := 1; ; pages++ {
		p := read[page](t, h.wants(h.send("GET", path, ""), 200))
		for _, w := range p.Waters {
			got = append(got, w.ID)
		}
		if p.Next == nil {
			if pages != 3 {
				t.Errorf("5 waters came on %d pages of 2", pages)
			}
			break
		}
		path = "/v1/waters?limit=2&after=" + *p.Next
	}
	if want := "pond-0 pond-1 pond-2 pond-3 pond-4"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

func TestEmptyListsAreLists(t *testing.T) {
	h := newHouse(t)
	for path, want := range map[string]string{
		"/v1/waters": `{"waters":[],"next":null,"demo":false}` + "\n",
		"/v1/jobs":   `{"runs":[],"demo":false}` + "\n",
	} {
		if got := h.wants(h.send("GET", path, ""), 200).Body.String(); got != want {
			t.Errorf("%s gave %s, want %s", path, got, want)
		}
	}
}

func TestAWaterIsReplacedAndKeepsItsDay(t *testing.T) {
	h := newPit(t)
	was := read[model.Water](t, h.send("GET", "/v1/waters/quillmarsh-pit", ""))
	sent := with(with(pit, "Quillmarsh Pit", "Quillmarsh Old Pit"), "{", `{"added_at":"1999-01-01T00:00:00Z","demo":true,`)
	h.wants(h.send("PUT", "/v1/waters/quillmarsh-pit", sent), 200)
	is := read[model.Water](t, h.send("GET", "/v1/waters/quillmarsh-pit", ""))
	if is.Name != "Quillmarsh Old Pit" || !is.AddedAt.Equal(was.AddedAt) || is.Demo {
		t.Errorf("the water is now %+v", is)
	}
}

func TestConditions(t *testing.T) {
	h := newPit(t)
	for _, tc := range []struct {
		query   string
		hours   int
		weather model.Kind
	}{
		{"?from=2026-11-24T08:00:00Z&to=2026-11-24T14:00:00Z", 6, model.Observed},
		{"?from=2026-11-26T08:00:00Z&to=2026-11-26T14:00:00Z", 6, model.Forecasted},
		{"?from=2026-12-20T08:00:00Z&to=2026-12-20T14:00:00Z", 6, model.Missing},
		{"", 24, model.Observed},
	} {
		c := read[model.Conditions](t, h.wants(h.send("GET", "/v1/waters/quillmarsh-pit/conditions"+tc.query, ""), 200))
		if len(c.Hours) != tc.hours || c.Hours[0].Weather != tc.weather || c.Deferral != model.Deferral {
			t.Errorf("%s: %d hours, the first %s, %q", tc.query, len(c.Hours), c.Hours[0].Weather, c.Deferral)
		}
	}
}

// Everything that the demonstration serves says that it is invented.
func TestTheDemonstrationSaysSoEverywhere(t *testing.T) {
	h := newPit(t, asDemo)
	must(t, h.db.PutJobRun(t.Context(), jobRun("1")))
	named := map[string]string{}
	also := []step{
		{"GET", "/v1/waters/nowhere", "", nil, 404},
		{"GET", "/v1/nothing", "", nil, 404},
		{"PUT", "/healthz", "", nil, 405},
		{"POST", "/v1/plans", "{", nil, 422},
		{"POST", "/v1/sessions", summary, []header{{"Sec-Fetch-Site", "cross-site"}}, 403},
	}
	for _, s := range append(append([]step{}, walk...), also...) {
		w := h.wants(h.send(s.method, fill(s.path, named), s.body, s.headers...), s.status)
		remember(t, named, s, w)
		if s.path == "/openapi.yaml" || s.path == "/metrics" || s.status == 204 {
			continue
		}
		if kind := w.Header().Get("Content-Type"); !strings.Contains(kind, "json") || strings.Contains(kind, "feed") { // what is taken elsewhere says so in words
			if !strings.Contains(strings.ToLower(w.Body.String()), "invented") {
				t.Errorf("%s %s does not say that it is invented: %.200s", s.method, s.path, w.Body)
			}
			continue
		}
		if said := read[struct{ Demo bool }](t, w); !said.Demo {
			t.Errorf("%s %s does not say that it is invented: %.200s", s.method, s.path, w.Body)
		}
	}
	page := read[struct{ Waters []model.Water }](t, h.send("GET", "/v1/waters", ""))
	for _, w := range page.Waters {
		if !w.Demo {
			t.Errorf("%s in the list does not say that it is invented", w.ID)
		}
	}
}
