package storetest

import (
	"context"
	"encoding/json"
	"testing"
	"time"

	"osier/model"
)

// Store is what every store must offer.
type Store interface {
	credentialStore
	PutWater(ctx context.Context, w model.Water) error
	Water(ctx context.Context, id string) (model.Water, error)
	Waters(ctx context.Context, after string, limit int) ([]model.Water, error)
	PutKit(ctx context.Context, k model.Kit) error
	Kit(ctx context.Context, angler string) (model.Kit, error)
	PutReport(ctx context.Context, r model.Report) error
	Reports(ctx context.Context, water string, from, to time.Time) ([]model.Report, error)
	AddMeterReading(ctx context.Context, m model.MeterReading) error
	MeterReading(ctx context.Context, id string) (model.MeterReading, error)
	MeterReadings(ctx context.Context, water string, from, to time.Time) ([]model.MeterReading, error)
	NewestMeterReadings(ctx context.Context, water string, from, to time.Time, before string, limit int) ([]model.MeterReading, error)
	PutRestriction(ctx context.Context, r model.Restriction) error
	LiftRestriction(ctx context.Context, r model.Restriction) error
	Restriction(ctx context.Context, id string) (model.Restriction, error)
	Restrictions(ctx context.Context, water string, from, to time.Time) ([]model.Restriction, error)
	ClubRestrictions(ctx context.Context, club string, from, to, afterStart time.Time, afterID string, limit int) ([]model.Restriction, error)
	PutClub(ctx context.Context, c model.Club) error
	Club(ctx context.Context, id string) (model.Club, error)
	Clubs(ctx context.Context, after string, limit int) ([]model.Club, error)
	AddDraft(ctx context.Context, k model.KeptOutlook) error
	ChangeDraft(ctx context.Context, k model.KeptOutlook, was []byte) error
	PublishOutlook(ctx context.Context, k model.KeptOutlook, was []byte) error
	Outlook(ctx context.Context, id string) (model.KeptOutlook, error)
	OutlookInForce(ctx context.Context, water, day string) (model.KeptOutlook, error)
	LastPublished(ctx context.Context, club string) (model.KeptOutlook, error)
	Outlooks(ctx context.Context, club string, state model.OutlookState, before time.Time, beforeID string, limit int) ([]model.KeptOutlook, error)
	PutOutlookScores(ctx context.Context, scores []model.KeptOutlookScore) error
	OutlookScores(ctx context.Context, club, before string, limit int) (scores []model.KeptOutlookScore, next string, err error)
	PutWaterState(ctx context.Context, water string, at time.Time, state json.RawMessage, asOf int64) (kept bool, err error)
	WaterStates(ctx context.Context, water string, from, to time.Time) ([]json.RawMessage, error)

	PutStations(ctx context.Context, stations []model.Station) error
	StationsWithin(ctx context.Context, latLow, latHigh, lonLow, lonHigh float64) ([]model.Station, error)
	PutObservations(ctx context.Context, observations []model.Observation) (changed int, err error)
	Observations(ctx context.Context, source, station string, from, to time.Time) ([]model.Observation, error)
	PutForecast(ctx context.Context, f model.Forecast) error
	ConfirmForecast(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error
	Forecasts(ctx context.Context, latDeg, lonDeg float64, at time.Time, limit int) ([]model.Forecast, error)
	PutWarnings(ctx context.Context, a model.WarningsAnswer) error
	ConfirmWarnings(ctx context.Context, source string, latDeg, lonDeg float64, at time.Time) error
	Warnings(ctx context.Context, latDeg, lonDeg float64) ([]model.WarningsAnswer, error)
	PutFeedState(ctx context.Context, url string, nextAttempt time.Time, state json.RawMessage) error
	FeedState(ctx context.Context, url string) (json.RawMessage, error)

	AddSession(ctx context.Context, s model.Session) error
	ReplaceSession(ctx context.Context, s model.Session, version int) error
	DeleteSession(ctx context.Context, id string) error
	Session(ctx context.Context, id string) (s model.Session, version int, err error)
	SessionByIdentity(ctx context.Context, identity string) (model.Session, error)
	Sessions(ctx context.Context, water, angler string, from, to time.Time) ([]model.Session, error)
	SessionsWithReading(ctx context.Context, water string, from, to time.Time) ([]model.Session, error)
	AddImport(ctx context.Context, sessions []model.Session, report model.Import) error
	Import(ctx context.Context, id string) (model.Import, error)
	AddEvents(ctx context.Context, session string, events []model.LoggedEvent) ([]model.EventStatus, error)
	Events(ctx context.Context, session string) ([]model.LoggedEvent, error)
	PutJoined(ctx context.Context, joined []model.JoinedSession) error
	Joined(ctx context.Context) ([]model.JoinedSession, error)
	JoinedAt(ctx context.Context, water string, from, to time.Time) ([]model.JoinedSession, error)
	SessionWaters(ctx context.Context) ([]string, error)
	SessionsAfter(ctx context.Context, water string, start time.Time, id string, to time.Time, limit int) ([]model.Session, error)

	AddFit(ctx context.Context, f model.FitRecord) error
	AddPublicFit(ctx context.Context, f model.FitRecord, read []model.JoinedSession, gone []string) error
	PublicRows(ctx context.Context) ([]model.JoinedSession, error)
	LatestFit(ctx context.Context, angler string, at time.Time) (model.FitRecord, error)
	AddPlan(ctx context.Context, p model.Plan) error
	Plan(ctx context.Context, id string) (model.Plan, error)
	PlansOf(ctx context.Context, angler string, from, to time.Time, limit int) ([]model.Plan, error)
	PutScores(ctx context.Context, scores []model.Score) error
	DeleteScores(ctx context.Context, sessions []string) error
	Scores(ctx context.Context, water string, group model.Group) ([]model.Score, error)

	PutJobRun(ctx context.Context, r model.JobRun) error
	JobRuns(ctx context.Context, limit int) ([]model.JobRun, error)
	LastSuccess(ctx context.Context, job string) (model.JobRun, error)
	AcquireLease(ctx context.Context, job string, due time.Time, holder string, now, expires time.Time, again bool) (l model.Lease, taken bool, err error)
	RenewLease(ctx context.Context, l model.Lease, expires time.Time) error
	ReleaseLease(ctx context.Context, l model.Lease) error
	EndLease(ctx context.Context, l model.Lease, run model.JobRun) error
	Prune(ctx context.Context, keep model.KeepFrom) (map[string]int, error)
	KeepAnswer(ctx context.Context, key, operation, digest string, status int, at time.Time, body []byte) error
	AnswerTo(ctx context.Context, key, operation string) (digest string, status int, body []byte, found bool, err error)

	AnglerRecords(ctx context.Context, angler string) (model.AnglerRecords, error)
	ForgetAngler(ctx context.Context, angler string, at time.Time) (model.Erasure, error)
	ForgetFits(ctx context.Context, angler string, keep []string) (gone []string, err error)
	Mentions(ctx context.Context, angler string) (map[string]int, error)

	Revision(ctx context.Context) (int64, error)
	Identity(ctx context.Context) (string, error)
	Ping(ctx context.Context) error
	Close() error
}

// Open opens the store of one scenario: the first time an empty one, and after
// it was closed the same one again.
type Open func(t *testing.T) Store

// Scenario is one thing a store must do.
type Scenario struct {
	Name string
	Run  func(t *testing.T, open Open)
}

// Scenarios lists what every store must do. Each needs a store of its own.
func Scenarios() []Scenario {
	return []Scenario{
		{"waters are kept, replaced and paged", on(waters)},
		{"a kit is its angler's, and replaced", on(kits)},
		{"reports are listed by water and time", on(reports)},
		{"readings are listed by water and time, and paged", on(meterReadings)},
		{"restrictions hold to the second, and once lifted no longer", on(restrictions)},
		{"the revision counts restrictions made and lifted", on(restrictionsRevision)},
		{"clubs are kept, replaced and paged", on(clubs)},
		{"a draft gives way to the next unless it was edited", on(drafts)},
		{"what was published stays, and the last of a day is in force", on(outlooksPublished)},
		{"scores of outlooks are kept, replaced and paged", on(outlookScores)},
		{"states of waters are kept by water and time", on(waterStates)},
		{"a state goes with the weather, station or water it rests on", on(waterStatesForgotten)},
		{"what is not there is not found, in words", on(notFound)},
		{"stations are found inside a box", on(stations)},
		{"a report comes back as it was, in UTC to the second", on(observationRoundTrip)},
		{"a report sent twice is one, and a correction stays", on(observationUpserts)},
		{"a number that is none is refused, and nothing is written", on(notFinite)},
		{"forecasts come newest first, as known at an instant", on(forecasts)},
		{"an issue of a forecast is never rewritten", on(forecastImmutable)},
		{"an issue is as fresh as it was last confirmed", on(forecastConfirmed)},
		{"official warnings are those of the last answer", on(warnings)},
		{"the revision counts what becomes known of official warnings", on(warningsRevision)},
		{"what is remembered of a feed is kept by address", on(feedStates)},
		{"sessions are kept, and listed by water, angler and time", on(sessions)},
		{"sessions with a thermometer's reading are found", on(sessionsWithReading)},
		{"one session is stored once", on(sessionIdentity)},
		{"a change needs the version that was read", on(sessionReplace)},
		{"a change cannot turn one session into another", on(sessionReplaceIdentity)},
		{"deleting a session takes what was joined along", on(sessionDelete)},
		{"events are kept once each, in the order they came", on(events)},
		{"batches of events that come at once are kept once", on(eventsAtOnce)},
		{"a deleted session takes its events along", on(eventsDeleted)},
		{"a file of records is kept whole or not at all", on(imports)},
		{"joined sessions are replaced, and those of deleted sessions passed over", on(joined)},
		{"sessions are read water by water, some at a time, with what they were joined to", on(waterByWater)},
		{"a fit is never changed, and the one added last is in force", on(fits)},
		{"a public fit is kept with the rows that it read", on(publicRows)},
		{"a clock set back finds no fit made after it", on(fitsAsOf)},
		{"an angler's own fit is apart from the public one", on(ownFits)},
		{"a plan stays as it was issued", on(plans)},
		{"scores are kept, replaced, and go with their session", on(scores)},
		{"everything of one angler is gathered, and nothing of another", on(anglerRecords)},
		{"a forgotten angler is in no table", on(forgotten)},
		{"the fits that read a forgotten angler go, but for those to be kept", on(forgottenFits)},
		{"runs of jobs are listed, and the last success found", on(jobRuns)},
		{"the first answer to a key stays", on(answers)},
		{"the revision counts every change that a plan may depend on", on(revisionCounts)},
		{"the revision stays where nothing a plan depends on changed", on(revisionStays)},
		{"many writers at once all get through", on(manyWriters)},
		{"changes made at once are none of them lost", on(noLostChange)},
		{"one program has the lease on a run, and one that lost it cannot succeed", leases},
		{"of many that want a lease at once one gets it", leasesAtOnce},
		{"what is old goes, and nothing that is needed", on(prune)},
		{"text sorts by its bytes", on(order)},
		{"text that is none is refused, and nothing is written", on(notText)},
		{"tokens are found by their secret's digest, and listed", on(tokens)},
		{"a revoked token takes those made with it along", on(tokenEnds)},
		{"the last use of a token is kept to the minute", on(tokenUse)},
		{"members are added, changed and removed", on(members)},
		{"browsers are let in for a time", on(signIns)},
		{"a sign-in under way is found once", on(pendingSignIns)},
		{"a club lists what is shared with it, and no more once sharing ends", on(sharedSessions)},
		{"a session is whose events came first", on(sessionClaims)},
		{"a store opened again holds what it held", reopened},
		{"a store keeps its identity", identity},
	}
}

// on gives a scenario an open store that is closed when it ends.
func on(run func(t *testing.T, s Store)) func(t *testing.T, open Open) {
	return func(t *testing.T, open Open) {
		s := open(t)
		t.Cleanup(func() {
			if err := s.Close(); err != nil {
				t.Errorf("close: %v", err)
			}
		})
		run(t, s)
	}
}
