package api

import (
	"context"
	"fmt"
	"log/slog"
	"net/http"
	"sync/atomic"
	"time"

	"github.com/gin-gonic/gin"

	"osier/api/auth"
	"osier/api/cache"
	"osier/api/page"
	"osier/model"
)

// Limits on what a caller may send.
const (
	maxJSONBytes   = 1 << 20  // one record or question; a full log of 24 h is under 300 kB
	maxImportBytes = 16 << 20 // a club's records of many years
	maxHeaderBytes = 32 << 10
)

// Waters is what the handlers need of stored waters.
type Waters interface {
	Water(ctx context.Context, id string) (model.Water, error)
	Waters(ctx context.Context, after string, limit int) ([]model.Water, error)
	PutWater(ctx context.Context, w model.Water) error
}

// Planner answers what the weather means at a water, and issues plans. Both
// read what is stored and fetch nothing.
type Planner interface {
	Conditions(ctx context.Context, water string, from, to time.Time) (model.Conditions, error)
	ConditionsForOfficers(ctx context.Context, water string, from, to time.Time) (model.Conditions, error)
	Plan(ctx context.Context, q model.Question) (model.Plan, error)
	Choose(ctx context.Context, q model.ChoiceQuestion) (model.Choice, error)
	Season(ctx context.Context, water string, groups []model.Group, hours float64) (model.SeasonPlan, error)
}

// Plans finds plans as they were issued, with what was decided since about their
// hours.
type Plans interface {
	IssuedPlan(ctx context.Context, id string) (model.Plan, error)
}

// Restrictions takes in what clubs decide about their waters.
type Restrictions interface {
	Restrict(ctx context.Context, decided model.Restriction) (stored model.Restriction, fresh bool, err error)
	LiftOf(ctx context.Context, club, id, by, why string) (model.Restriction, error)
	Restrictions(ctx context.Context, club string, from, to time.Time, after string, limit int) (page []model.Restriction, next string, err error)
}

// TrackRecords tells how issued plans fared, by water and group or for all.
type TrackRecords interface {
	TrackRecord(ctx context.Context, water string, group model.Group) (model.TrackRecord, error)
}

// Recorder takes in session records: it checks them, recognises duplicates and
// says what became of each.
type Recorder interface {
	Record(ctx context.Context, s model.Session) (model.Session, model.RowStatus, error)
	Change(ctx context.Context, id string, change func(model.Session) (model.Session, error)) (model.Session, error)
	Session(ctx context.Context, id string) (model.Session, error)
	Delete(ctx context.Context, id string) error
	Import(ctx context.Context, name, water, angler string, body []byte) (model.Import, error)
	ImportOwn(ctx context.Context, name, water, angler string, body []byte) (model.Import, error)
	ImportReport(ctx context.Context, id string) (model.Import, error)
	RecordReading(ctx context.Context, m model.MeterReading) (stored model.MeterReading, fresh bool, err error)
	Readings(ctx context.Context, water string, from, until time.Time, after string, limit int) (page []model.MeterReading, next string, err error)
}

// Advisor says what to do in a session that goes on.
type Advisor interface {
	Advice(ctx context.Context, session string) (model.BankAdvice, error)
}

// Summaries tells what sessions that have ended came to.
type Summaries interface {
	Summary(ctx context.Context, session string) (model.SessionSummary, error)
	SharedSummary(ctx context.Context, session string) (model.SessionSummary, error)
}

// Live takes in the events of sessions while they are fished.
type Live interface {
	TakeEvents(ctx context.Context, session string, batch model.EventBatch) (model.EventsTaken, error)
	LiveSession(ctx context.Context, id string) (model.Live, error)
}

// Jobs lists what the schedule did.
type Jobs interface {
	JobRuns(ctx context.Context, limit int) ([]model.JobRun, error)
}

// Answers remembers what was answered to a write that carried an idempotency
// key.
type Answers interface {
	KeepAnswer(ctx context.Context, key, operation, digest string, status int, at time.Time, body []byte) error
	AnswerTo(ctx context.Context, key, operation string) (digest string, status int, body []byte, found bool, err error)
}

// Revisions counts the changes to anything a plan may depend on, so that a
// rendered answer can be kept under the count it was made at.
type Revisions interface {
	Revision(ctx context.Context) (int64, error)
}

// Options is all that a server needs. Every field is required but Start,
// Demo, Loopback, Proxies, PublicURL and Provider.
type Options struct {
	Waters       Waters
	Planner      Planner
	Plans        Plans
	TrackRecords TrackRecords
	Restrictions Restrictions
	Clubs        Clubs
	Outlooks     Outlooks
	Findings     Findings
	Start        []page.Start // the pages to open first, where somebody picked some
	Feeds        Feeds
	Recorder     Recorder
	Live         Live
	Advisor      Advisor
	Summaries    Summaries
	Jobs         Jobs
	Answers      Answers
	Credentials  Credentials
	Owners       Owners
	Privacy      Privacy
	Limits       *auth.Limiter
	Provider     Provider // a sign-in service, nil where there is none
	Revisions    Revisions
	Loader       *cache.Loader // of what was rendered; replicas may share its cache
	Pointers     *cache.Loader // of what is current, by this process's knowledge
	Metrics      Metrics
	Ready        func(context.Context) error
	Now          func() time.Time
	Log          *slog.Logger
	Document     []byte   // the OpenAPI document
	Demo         bool     // everything served is invented
	Loopback     bool     // only who sits at this machine can reach the listener
	Proxies      []string // addresses and networks whose X-Forwarded-For is believed
	PublicURL    string   // where people reach it, such as https://club.example; empty: where they asked
}

// Server answers the API.
type Server struct {
	Options
	engine *gin.Engine
	origin *http.CrossOriginProtection
	writes atomic.Int64                // through this process
	known  atomic.Pointer[cache.Entry] // the last revision that the store told

	tokensMade atomic.Int64 // through this process: what is known of there being none is old then
}

// New makes the server and its routes.
func New(o Options) (*Server, error) {
	gin.SetMode(gin.ReleaseMode)
	s := &Server{Options: o, engine: gin.New(), origin: http.NewCrossOriginProtection()}
	if err := s.engine.SetTrustedProxies(o.Proxies); err != nil {
		return nil, fmt.Errorf("trust these proxies and no other: %w", err)
	}
	s.engine.HandleMethodNotAllowed = true
	s.engine.Use(s.nameRequest, s.measure, s.recoverPanics, s.logRequest, s.refuseCrossOrigin, s.identify)
	s.routes()
	s.signIns()
	s.pages()
	return s, s.bank()
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.engine.ServeHTTP(w, r) }

// routes is the whole API; the contract test holds it against the document.
func (s *Server) routes() {
	s.get("/healthz", auth.Public, s.health)
	s.get("/readyz", auth.Public, s.ready)
	s.get("/openapi.yaml", auth.Public, s.document)
	s.engine.GET("/metrics", s.admit(auth.Administrators, false), s.metrics)
	s.engine.HEAD("/metrics", s.admit(auth.Administrators, false), s.metrics)
	s.get("/v1/waters", auth.Public, s.listWaters)
	s.get("/v1/waters/:water", auth.Public, s.getWater)
	s.put("/v1/waters/:water", auth.Administrators, s.putWater)
	s.get("/v1/waters/:water/conditions", auth.Public, s.getConditions)
	s.get("/v1/waters/:water/season", auth.Public, s.getSeason)
	s.get("/v1/waters/:water/readings", auth.SignedIn, s.listReadings)
	s.post("/v1/waters/:water/readings", auth.Anglers, s.postReading)
	s.question("/v1/plans", auth.Public, s.postPlan)
	s.get("/v1/plans/:plan", auth.Public, s.getPlan)
	s.question("/v1/choices", auth.Public, s.postChoice)
	s.post("/v1/sessions", auth.Anglers, s.postSession)
	s.get("/v1/sessions/:session", auth.SignedIn, s.getSession)
	s.patch("/v1/sessions/:session", auth.SignedIn, s.patchSession)
	s.delete("/v1/sessions/:session", auth.SignedIn, s.deleteSession)
	s.post("/v1/sessions/:session/events", auth.Anglers, s.postEvents)
	s.get("/v1/sessions/:session/live", auth.SignedIn, s.getLive)
	s.get("/v1/sessions/:session/summary", auth.SignedIn, s.getSummary)
	s.get("/sessions/:session", auth.SignedIn, s.sessionPage)
	s.get("/v1/sessions/:session/advice", auth.SignedIn, s.getAdvice)
	s.post("/v1/imports", auth.Anglers, s.postImport)
	s.get("/v1/imports/:import", auth.SignedIn, s.getImport)
	s.post("/v1/clubs/:club/restrictions", auth.Officers, s.postRestriction)
	s.get("/v1/clubs/:club/restrictions", auth.Public, s.listRestrictions)
	s.post("/v1/clubs/:club/restrictions/:restriction/lift", auth.Officers, s.postLift)
	s.get("/v1/clubs", auth.Public, s.listClubs)
	s.get("/v1/clubs/:club", auth.Public, s.getClub)
	s.put("/v1/clubs/:club", auth.Administrators, s.putClub)
	s.get("/v1/clubs/:club/outlooks", auth.Public, s.listOutlooks)
	s.post("/v1/clubs/:club/outlooks", auth.Officers, s.postOutlook)
	s.get("/v1/clubs/:club/outlooks/:outlook", auth.Public, s.getOutlook)
	s.patch("/v1/clubs/:club/outlooks/:outlook", auth.Officers, s.patchOutlook)
	s.post("/v1/clubs/:club/outlooks/:outlook/publish", auth.Officers, s.postPublish)
	s.get("/v1/clubs/:club/outlook-scores", auth.Public, s.listOutlookScores)
	s.get("/v1/waters/:water/outlook", auth.Public, s.getWaterOutlook)
	s.get("/v1/track-record", auth.Public, s.getTrackRecord)
	s.get("/v1/jobs", auth.Administrators, s.listJobs)
	s.feeds()
	s.get("/v1/clubs/:club/sessions", auth.Officers, s.listShared)
	s.engine.POST("/v1/tokens", s.admit(auth.Anglers, true), s.serve(s.counted(s.postToken)))
	s.get("/v1/tokens", auth.Anglers, s.listTokens)
	s.delete("/v1/tokens/:token", auth.Anglers, s.deleteToken)
	s.get("/v1/anglers/:angler/export", auth.Anglers, s.getExport)
	s.engine.DELETE("/v1/anglers/:angler", s.admit(auth.Anglers, true), s.serve(s.counted(s.deleteAngler)))
	s.engine.NoRoute(s.serve(func(c *gin.Context) (answer, error) {
		return answer{}, model.NotFoundf("path", "see /openapi.yaml for what there is", "nothing is at this path")
	}))
	s.engine.NoMethod(s.serve(func(c *gin.Context) (answer, error) { return answer{}, errMethod }))
}

// Routes lists method and path of every route, for the contract test.
func (s *Server) Routes() []gin.RouteInfo { return s.engine.Routes() }

// Every route names who may use it, before its handler runs; see auth.Access.
func (s *Server) get(path string, a auth.Access, h handler) {
	s.engine.GET(path, s.admit(a, false), s.serve(h))
	s.engine.HEAD(path, s.admit(a, false), s.serve(h))
}

func (s *Server) put(path string, a auth.Access, h handler) { s.changing(http.MethodPut, path, a, h) }

func (s *Server) post(path string, a auth.Access, h handler) { s.changing(http.MethodPost, path, a, h) }

func (s *Server) patch(path string, a auth.Access, h handler) {
	s.changing(http.MethodPatch, path, a, h)
}

func (s *Server) delete(path string, a auth.Access, h handler) {
	s.changing(http.MethodDelete, path, a, h)
}

func (s *Server) changing(method, path string, a auth.Access, h handler) {
	s.engine.Handle(method, path, s.admit(a, true), s.serve(s.counted(s.once(h))))
}

// question is a POST that asks and does not change what answers depend on, so
// that a credential that may only read may ask it.
func (s *Server) question(path string, a auth.Access, h handler) {
	s.engine.POST(path, s.admit(a, false), s.serve(s.once(h)))
}

// counted makes what this process knows of the store's revision old, once a
// write is through: its next reader sees it. A write that the store did not take
// makes nothing old.
func (s *Server) counted(h handler) handler {
	return func(c *gin.Context) (a answer, err error) {
		defer func() {
			if err == nil || model.CodeOf(err) != model.Unavailable {
				s.writes.Add(1)
			}
		}()
		return h(c)
	}
}

// HTTPServer gives the server the limits that keep a slow or greedy caller from
// holding it up.
func (s *Server) HTTPServer() *http.Server {
	return &http.Server{
		Handler:           s,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       time.Minute,
		WriteTimeout:      time.Minute,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    maxHeaderBytes,
		ErrorLog:          slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn),
	}
}
