package jobs_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	_ "modernc.org/sqlite" // to look into the file past the store

	"osier/jobs"
	"osier/model"
	"osier/model/store"
)

// wren is the angler who is forgotten: a handle found nowhere else.
const wren = "wren7"

// house is a store with a club's records and everything that one angler can have
// in it, and the folder that it is in.
func house(t *testing.T) (b *bench, dir string) {
	t.Helper()
	ctx := t.Context()
	dir = t.TempDir()
	db, err := store.OpenSQLite(ctx, dir)
	done(t, err)
	t.Cleanup(func() { done(t, db.Close()) })
	b = &bench{db: db, now: noon}
	done(t, db.PutWater(ctx, reedmere))
	b.putWeather(t)
	var theirs []model.Session
	for day := range 3 {
		s := entry(20+day, wren, 3+day)
		s.Notes = "a good day for " + wren
		theirs = append(theirs, s)
	}
	theirs[0].PlanID = "p-wren"
	all := append(club(1, 3, 3, 2, 2, 2), theirs...)
	report := model.Import{ID: "i-club", File: "club.csv", At: noon, Stored: len(all)}
	for i, s := range all {
		report.Rows = append(report.Rows, model.RowReport{Row: i + 2, Session: s.ID, Status: model.RowStored})
	}
	done(t, db.AddImport(ctx, all, report))
	done(t, db.AddImport(ctx, nil, model.Import{ID: "i-own", File: "mine.csv", Angler: wren, At: noon}))
	p := issued("p-wren")
	p.Question.Angler, p.Start, p.IssuedAt = wren, theirs[0].Start, theirs[0].Start.Add(-time.Hour)
	done(t, db.AddPlan(ctx, p))
	done(t, db.PutKit(ctx, model.Kit{Angler: wren, Feeders: []model.OwnFeeder{{Type: "cage", CapacityMl: 38, WeightG: 30}}}))
	done(t, db.AddMeterReading(ctx, model.MeterReading{ID: "m-1", Water: "reedmere", At: noon.Add(-time.Hour), WaterC: model.Known[model.Celsius](6), Instrument: true, By: wren}))
	done(t, db.PutReport(ctx, model.Report{ID: "r-1", Water: "reedmere", Kind: model.SawIce, At: noon.Add(-time.Hour), By: wren, Note: "cat ice, says " + wren}))
	event := model.Event{ID: "e-1", Kind: model.EventStart, At: noon, Start: &model.EventStartOf{Water: "reedmere", Angler: wren, Group: model.Bream}}
	_, err = db.AddEvents(ctx, "begun", []model.LoggedEvent{{Event: event, Received: noon}})
	done(t, err)
	_, err = db.AddEvents(ctx, theirs[1].ID, []model.LoggedEvent{{Event: model.Event{ID: "e-2", Kind: model.EventEnd, At: noon}, Received: noon}})
	done(t, err)
	_, err = db.ClaimSession(ctx, "claimed", wren)
	done(t, err)
	for i, angler := range []string{wren, "A0"} {
		token := model.Token{ID: fmt.Sprintf("t-%d", i), Label: "phone of " + angler, Role: model.AnglerRole, Angler: angler, MadeAt: noon}
		done(t, db.AddToken(ctx, token, fmt.Sprintf("digest-%d", i)))
		done(t, db.AddSignIn(ctx, "cookie-"+token.ID, model.SignIn{Token: token.ID, MadeAt: noon, ExpiresAt: noon.Add(time.Hour)}))
	}
	done(t, db.PutMember(ctx, model.Member{ID: "u-1", Issuer: "https://login.example", Email: wren + "@example.org", Role: model.AnglerRole, Angler: wren, AddedAt: noon}))
	done(t, db.KeepAnswer(ctx, "k-1", "POST /v1/sessions", "d", 201, noon, []byte(`{"angler":"`+wren+`"}`)))
	done(t, db.KeepAnswer(ctx, "k-2", "DELETE /v1/sessions/"+theirs[2].ID, "d", 204, noon, nil))
	done(t, db.KeepAnswer(ctx, "k-3", "POST /v1/sessions", "d", 201, noon, []byte(`{"angler":"A0"}`)))
	done(t, db.PutJobRun(ctx, model.JobRun{ID: "j-1", Job: "fit", StartedAt: noon, Error: "the fit of " + wren + ": no"}))
	b.refit(t)
	b.score(t)
	return b, dir
}

func (b *bench) privacy() *jobs.Privacy {
	return &jobs.Privacy{
		Store: b.db, Now: b.clock, Fit: &jobs.Fitter{Store: b.db, Now: b.clock},
	}
}

// rowsThatTell looks through every text of every table of the file itself.
func rowsThatTell(t *testing.T, dir string, words ...string) []string {
	t.Helper()
	file, err := sql.Open("sqlite", filepath.Join(dir, "osier.db"))
	done(t, err)
	defer file.Close()
	columns, err := file.QueryContext(t.Context(), `SELECT m.name, c.name FROM sqlite_master m, pragma_table_info(m.name) c WHERE m.type = 'table'`)
	done(t, err)
	var places [][2]string
	for columns.Next() {
		var place [2]string
		done(t, columns.Scan(&place[0], &place[1]))
		places = append(places, place)
	}
	done(t, columns.Err())
	if len(places) < 60 {
		t.Fatalf("%d columns looked at, want all of them", len(places))
	}
	var out []string
	for _, place := range places {
		for _, word := range words {
			var n int
			done(t, file.QueryRowContext(t.Context(), fmt.Sprintf(`SELECT COUNT(*) FROM %q WHERE instr(CAST(%q AS TEXT), $1) > 0`, place[0], place[1]), word).Scan(&n))
			if n > 0 {
				out = append(out, fmt.Sprintf("%d rows of %s.%s tell of %s", n, place[0], place[1], word))
			}
		}
	}
	return out
}

func TestAForgottenAnglerIsInNoTableOfTheStore(t *testing.T) {
	b, dir := house(t)
	ctx := t.Context()
	before, err := b.db.LatestFit(ctx, "", b.now)
	done(t, err)
	if before.Sessions != 15 || len(rowsThatTell(t, dir, wren)) < 15 {
		t.Fatalf("public fit of %d sessions, told in %v; the test wants the angler everywhere", before.Sessions, rowsThatTell(t, dir, wren))
	}
	sessions, err := b.db.Sessions(ctx, "", wren, time.Unix(0, 0), b.now)
	done(t, err)
	others, err := b.db.Sessions(ctx, "", "A0", time.Unix(0, 0), b.now)
	done(t, err)

	b.now = b.now.Add(time.Hour)
	receipt, err := b.privacy().Forget(ctx, wren)
	done(t, err)
	if told := rowsThatTell(t, dir, append(identifiers(sessions), wren, "begun", "claimed")...); len(told) > 0 {
		t.Errorf("after it: %s", strings.Join(told, "; "))
	}
	want := map[string]int{
		"sessions": 3, "joined": 3, "public_rows": 3, "scores": 1, "events": 2, "session_claims": 1, "kits": 1, "plans": 1,
		"meter_readings": 1, "imports": 1, "answers": 2, "sign_ins": 1,
	}
	nameless := map[string]int{"imports": 1, "reports": 1, "tokens": 1, "members": 1, "job_runs": 1}
	if fmt.Sprint(receipt.Deleted) != fmt.Sprint(want) || fmt.Sprint(receipt.Nameless) != fmt.Sprint(nameless) || len(receipt.Left) != 0 {
		t.Errorf("deleted %v, nameless %v, left %v;\nwant    %v, %v and none", receipt.Deleted, receipt.Nameless, receipt.Left, want, nameless)
	}

	// The public fit is made anew, without a word of them, by the rule of its own:
	// nothing new comes in on the way.
	after, err := b.db.LatestFit(ctx, "", b.now)
	done(t, err)
	if after.Sessions != 12 || after.ID != receipt.PublicFit || after.ID == before.ID || !slices.Contains(receipt.Fits, before.ID) {
		t.Errorf("public fit %s of %d sessions, receipt %+v", after.ID, after.Sessions, receipt)
	}
	if _, err := b.db.LatestFit(ctx, wren, b.now); model.CodeOf(err) != model.NotFound {
		t.Errorf("their own fit: %v", err)
	}

	// What others have is as it was.
	still, err := b.db.Sessions(ctx, "", "A0", time.Unix(0, 0), b.now)
	done(t, err)
	token, err := b.db.Token(ctx, "t-1")
	done(t, err)
	if len(still) != len(others) || token.Angler != "A0" || token.RevokedAt.Known {
		t.Errorf("%d sessions of another, token %+v", len(still), token)
	}
	if report, err := b.db.Import(ctx, "i-club"); err != nil || len(report.Rows) != 12 {
		t.Errorf("%d rows of the club's file: %v", len(report.Rows), err)
	}
	reports, err := b.db.Reports(ctx, "reedmere", noon.Add(-2*time.Hour), noon)
	done(t, err)
	if len(reports) != 1 || reports[0].Kind != model.SawIce || reports[0].By != "" {
		t.Errorf("reports %+v, want the ice still told of, by nobody", reports)
	}

	// Their credentials are over, and the store is not open to whoever comes.
	if ended, err := b.db.TokenByDigest(ctx, "digest-0"); err != nil || !ended.RevokedAt.Known || ended.Good(b.now) {
		t.Errorf("their token %+v: %v", ended, err)
	}
	if made, err := b.db.AnyCredential(ctx); err != nil || !made {
		t.Errorf("no credential is on record any more: %v", err)
	}

	_, err = b.privacy().Forget(ctx, wren)
	wantCode(t, err, model.NotFound)
}

// The receipt names nobody, and whoever knows the handle can show whose it is.
func TestTheReceiptOfAForgottenAnglerIsProvable(t *testing.T) {
	b, _ := house(t)
	receipt, err := b.privacy().Forget(t.Context(), wren)
	done(t, err)
	text, err := json.Marshal(receipt)
	done(t, err)
	if bytes.Contains(text, []byte(wren)) {
		t.Errorf("the receipt names them: %s", text)
	}
	unsealed := receipt
	unsealed.Digest = ""
	body, err := json.Marshal(unsealed)
	done(t, err)
	sum := sha256.Sum256([]byte(wren + "\n" + string(body)))
	if receipt.Digest != hex.EncodeToString(sum[:]) {
		t.Errorf("digest %s, want that of the handle and the receipt, %x", receipt.Digest, sum)
	}
}

// A handle that is part of another, or of a water's name, is not that angler's.
func TestOnlyTheAnglerNamedIsForgotten(t *testing.T) {
	b, _ := house(t)
	ctx := t.Context()
	long := entry(30, wren+"7", 4)
	dashed := entry(31, wren+"-a", 4)
	dashed.Notes = "fished beside " + wren
	b.store(t, long, dashed)
	b.refit(t)
	receipt, err := b.privacy().Forget(ctx, wren)
	done(t, err)
	for _, s := range []model.Session{long, dashed} {
		if _, _, err := b.db.Session(ctx, s.ID); err != nil {
			t.Errorf("session of %s: %v", s.Angler, err)
		}
		if own, err := b.db.LatestFit(ctx, s.Angler, b.now); err != nil || own.Angler != s.Angler {
			t.Errorf("own fit of %s: %v", s.Angler, err)
		}
	}
	if len(receipt.Left) != 1 || receipt.Left["sessions"] != 1 {
		t.Errorf("left %v, want the one record of another that speaks of them", receipt.Left)
	}
}

// What was cut off after the records and before the fits is finished the second
// time.
func TestForgettingCutOffHalfWayIsFinishedTheSecondTime(t *testing.T) {
	b, dir := house(t)
	_, err := b.db.ForgetAngler(t.Context(), wren, b.now)
	done(t, err)
	if len(rowsThatTell(t, dir, wren)) == 0 {
		t.Fatal("the fits tell nothing of them; the test wants the half")
	}
	_, err = b.privacy().Forget(t.Context(), wren)
	done(t, err)
	if told := rowsThatTell(t, dir, wren); len(told) > 0 {
		t.Errorf("after it: %s", strings.Join(told, "; "))
	}
}

func TestAnExportHoldsEverythingOfOneAnglerAndNothingOfAnother(t *testing.T) {
	b, _ := house(t)
	archive, err := b.privacy().Export(t.Context(), wren)
	done(t, err)
	z, err := zip.NewReader(bytes.NewReader(archive), int64(len(archive)))
	done(t, err)
	files := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		done(t, err)
		body, err := io.ReadAll(r)
		done(t, err)
		files[f.Name] = string(body)
	}
	for name, n := range map[string]int{
		"events.json": 2, "plans.json": 1, "readings.json": 1, "reports.json": 1, "imports.json": 2,
		"scores.json": 1, "tokens.json": 1, "members.json": 1, "fits.json": 0,
	} {
		var list []map[string]any
		if err := json.Unmarshal([]byte(files[name]), &list); err != nil || len(list) != n {
			t.Errorf("%s holds %d, want %d: %v", name, len(list), n, err)
		}
		if !strings.Contains(files["README.txt"], name) {
			t.Errorf("the README does not say what %s is", name)
		}
	}
	var records struct{ Sessions []model.Session }
	done(t, json.Unmarshal([]byte(files["sessions.json"]), &records))
	if len(records.Sessions) != 3 || records.Sessions[0].Notes == "" {
		t.Errorf("%d records, want all three whole", len(records.Sessions))
	}
	var kit model.Kit
	done(t, json.Unmarshal([]byte(files["kit.json"]), &kit))
	if kit.Angler != wren || len(files) != 12 {
		t.Errorf("kit of %q, %d files", kit.Angler, len(files))
	}
	for name, body := range files {
		for _, other := range []string{`"A0"`, `"A1"`, "digest-", "cookie-"} {
			if strings.Contains(body, other) {
				t.Errorf("%s holds %s", name, other)
			}
		}
	}
	// The records can be taken in elsewhere.
	elsewhere := newBench(t)
	recorder := jobs.Recorder{Store: elsewhere.db, Now: elsewhere.clock}
	report, err := recorder.Import(t.Context(), "sessions.json", "", "", []byte(files["sessions.json"]))
	done(t, err)
	if report.Stored != 3 {
		t.Errorf("%+v, want all three taken in", report)
	}

	_, err = b.privacy().Export(t.Context(), "nobody")
	wantCode(t, err, model.NotFound)
	_, err = b.privacy().Export(t.Context(), "../etc")
	wantCode(t, err, model.Invalid)
}
