package api_test

import (
	"crypto"
	"crypto/rand"
	"crypto/rsa"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"math/big"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"osier/api"
	"osier/api/auth"
	"osier/model"
)

// signInService is a small OpenID Connect provider that vouches for one subject.
type signInService struct {
	*httptest.Server
	t      *testing.T
	key    *rsa.PrivateKey
	asked  url.Values                  // of the last browser that was sent to it
	claims func(claims map[string]any) // what is wrong with its token
	sign   func(signed string) []byte  // nil for its own key
	header map[string]any              // of its token
	spoilt func(answer map[string]any) // what is wrong with its answer
	tell   map[string]any              // claims beside the usual
	now    func() time.Time
}

func newSignInService(t *testing.T) *signInService {
	t.Helper()
	key, err := rsa.GenerateKey(rand.Reader, 2048)
	must(t, err)
	s := &signInService{t: t, key: key, now: clock, tell: map[string]any{}, header: map[string]any{"alg": "RS256", "kid": "k1", "typ": "JWT"}}
	s.Server = httptest.NewServer(http.HandlerFunc(s.answer))
	t.Cleanup(s.Close)
	return s
}

func (s *signInService) answer(w http.ResponseWriter, r *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	var said any
	switch r.URL.Path {
	case "/.well-known/openid-configuration":
		said = map[string]any{
			"issuer": s.URL, "authorization_endpoint": s.URL + "/authorize", "token_endpoint": s.URL + "/token",
			"jwks_uri": s.URL + "/keys", "id_token_signing_alg_values_supported": []string{"RS256"},
		}
	case "/keys":
		said = map[string]any{"keys": []any{map[string]any{
			"kty": "RSA", "use": "sig", "alg": "RS256", "kid": "k1",
			"n": base64.RawURLEncoding.EncodeToString(s.key.N.Bytes()), "e": base64.RawURLEncoding.EncodeToString(big.NewInt(int64(s.key.E)).Bytes()),
		}}}
	case "/token":
		if err := r.ParseForm(); err != nil || !s.provesPKCE(r.PostForm) {
			w.WriteHeader(http.StatusBadRequest)
			said = map[string]any{"error": "invalid_grant"}
			break
		}
		answer := map[string]any{"access_token": "a", "token_type": "Bearer", "id_token": s.token()}
		if s.spoilt != nil {
			s.spoilt(answer)
		}
		said = answer
	default:
		w.WriteHeader(http.StatusNotFound)
	}
	_ = json.NewEncoder(w).Encode(said)
}

// provesPKCE says whether the code is asked for by who began the sign-in.
func (s *signInService) provesPKCE(form url.Values) bool {
	sum := sha256.Sum256([]byte(form.Get("code_verifier")))
	return form.Get("code") == "the-code" && s.asked.Get("code_challenge_method") == "S256" &&
		base64.RawURLEncoding.EncodeToString(sum[:]) == s.asked.Get("code_challenge")
}

func (s *signInService) token() string {
	claims := map[string]any{
		"iss": s.URL, "sub": "248289", "aud": "osier", "nonce": s.asked.Get("nonce"),
		"iat": s.now().Unix(), "exp": s.now().Add(5 * time.Minute).Unix(),
	}
	for name, value := range s.tell {
		claims[name] = value
	}
	if s.claims != nil {
		s.claims(claims)
	}
	part := func(v any) string {
		b, err := json.Marshal(v)
		must(s.t, err)
		return base64.RawURLEncoding.EncodeToString(b)
	}
	signed := part(s.header) + "." + part(claims)
	signature := s.signed(s.key, signed)
	if s.sign != nil {
		signature = s.sign(signed)
	}
	return signed + "." + base64.RawURLEncoding.EncodeToString(signature)
}

func (s *signInService) signed(key *rsa.PrivateKey, text string) []byte {
	sum := sha256.Sum256([]byte(text))
	signature, err := rsa.SignPKCS1v15(rand.Reader, key, crypto.SHA256, sum[:])
	must(s.t, err)
	return signature
}

// served is a house whose club has a sign-in service, and an officer in its table.
func served(t *testing.T) (*manned, *signInService) {
	t.Helper()
	service := newSignInService(t)
	h := newHouse(t, func(o *api.Options) {
		o.Provider = &auth.Provider{Issuer: service.URL, ClientID: "osier", ClientSecret: "s3cret", ReturnTo: "http://localhost/sign-in/return", Client: service.Client(), Now: clock}
	})
	must(t, h.db.PutClub(t.Context(), model.Club{ID: "quill-club", Name: "Quill Club", Zone: "Europe/London", AddedAt: now}))
	member := model.Member{Issuer: service.URL, Subject: "248289", Role: model.Officer, Angler: "sedge", Clubs: []string{"quill-club"}, AddedAt: now}
	member.ID = member.DerivedID()
	must(t, h.db.PutMember(t.Context(), member))
	return &manned{house: h}, service
}

// visit asks for a page as a browser does.
func (m *manned) visit(path string, kept ...*http.Cookie) *httptest.ResponseRecorder {
	m.t.Helper()
	r := httptest.NewRequest("GET", path, nil)
	r.Host = "localhost"
	r.Header.Set("Accept", "text/html")
	for _, c := range kept {
		r.AddCookie(c)
	}
	w := httptest.NewRecorder()
	m.api.ServeHTTP(w, r)
	return w
}

// begin sends a browser to the service, and gives what it keeps meanwhile and
// where it comes back to.
func (m *manned) begin(service *signInService) (state *http.Cookie, back string) {
	m.t.Helper()
	w := m.visit("/sign-in/service?next=%2Fclubs%2Fquill-club")
	to, err := url.Parse(w.Header().Get("Location"))
	must(m.t, err)
	if w.Code != 303 || !strings.HasPrefix(to.String(), service.URL+"/authorize?") {
		m.t.Fatalf("answered %d to %q: %s", w.Code, to, w.Body)
	}
	service.asked = to.Query()
	return cookies(w)[0], "/sign-in/return?code=the-code&state=" + url.QueryEscape(service.asked.Get("state"))
}

func TestAnOfficerSignsInThroughTheClubsService(t *testing.T) {
	m, service := served(t)
	state, back := m.begin(service)
	for name, want := range map[string]string{
		"response_type": "code", "client_id": "osier", "redirect_uri": "http://localhost/sign-in/return", "scope": "openid email", "code_challenge_method": "S256",
	} {
		if got := service.asked.Get(name); got != want {
			t.Errorf("the service is asked with %s %q, want %q", name, got, want)
		}
	}
	if service.asked.Get("nonce") == "" || !state.HttpOnly || state.SameSite != http.SameSiteLaxMode || state.MaxAge != 600 {
		t.Errorf("the state is kept in %+v", state)
	}
	w := m.visit(back, state)
	if w.Code != 303 || w.Header().Get("Location") != "/clubs/quill-club" {
		t.Fatalf("answered %d to %q: %s", w.Code, w.Header().Get("Location"), w.Body)
	}
	var in *http.Cookie
	for _, c := range cookies(w) {
		if c.Name == "osier-sign-in" {
			in = c
		}
	}
	signedIn := header{"Cookie", in.Name + "=" + in.Value}
	m.wants(m.send("GET", "/v1/clubs/quill-club/sessions", "", signedIn), 200)
	m.wants(m.send("GET", "/v1/clubs/other-club/sessions", "", signedIn), 403)
	m.wants(m.send("GET", "/v1/jobs", "", signedIn), 403)
	made := m.wants(m.send("POST", "/v1/tokens", `{"role":"angler","angler":"sedge"}`, signedIn, header{"Sec-Fetch-Site", "same-origin"}), 201)
	if !strings.Contains(made.Body.String(), `"made_by":"u-`) {
		t.Errorf("made is %s", made.Body)
	}
	members, err := m.db.Members(t.Context())
	must(t, err)
	must(t, m.db.RemoveMember(t.Context(), members[0].ID, now)) // and it ends at once
	m.wants(m.send("GET", "/v1/clubs/quill-club/sessions", "", signedIn), 401)
}

func TestWhatTheSignInServiceSendsBackIsNotTrustedBlindly(t *testing.T) {
	other, err := rsa.GenerateKey(rand.Reader, 2048)
	must(t, err)
	for _, c := range []struct {
		name  string
		spoil func(s *signInService)
		back  func(back string) string
		says  string
	}{
		{"another nonce", func(s *signInService) { s.claims = func(c map[string]any) { c["nonce"] = "another" } }, nil, "cannot be trusted"},
		{"no nonce", func(s *signInService) { s.claims = func(c map[string]any) { delete(c, "nonce") } }, nil, "cannot be trusted"},
		{"another audience", func(s *signInService) { s.claims = func(c map[string]any) { c["aud"] = "another" } }, nil, "cannot be trusted"},
		{"another issuer", func(s *signInService) { s.claims = func(c map[string]any) { c["iss"] = "https://elsewhere.example" } }, nil, "cannot be trusted"},
		{"expired", func(s *signInService) { s.claims = func(c map[string]any) { c["exp"] = now.Add(-time.Minute).Unix() } }, nil, "cannot be trusted"},
		{"signed by somebody else", func(s *signInService) { s.sign = func(text string) []byte { return s.signed(other, text) } }, nil, "cannot be trusted"},
		{"not signed", func(s *signInService) {
			s.header = map[string]any{"alg": "none"}
			s.sign = func(string) []byte { return nil }
		}, nil, "cannot be trusted"},
		{"no token", func(s *signInService) { s.spoilt = func(a map[string]any) { delete(a, "id_token") } }, nil, "cannot be trusted"},
		{"another code", nil, func(back string) string { return strings.Replace(back, "the-code", "another", 1) }, "cannot be trusted"},
		{"no code", nil, func(back string) string { return strings.Replace(back, "code=the-code", "error=access_denied", 1) }, "did not let you in"},
		{"another state", nil, func(back string) string { return back + "x" }, "not begun in this browser"},
		{"an unknown subject", func(s *signInService) { s.claims = func(c map[string]any) { c["sub"] = "1" } }, nil, "no member yet"},
		{"an unknown subject with a member's address that is not verified", func(s *signInService) {
			s.tell = map[string]any{"sub": "1", "email": "post@quill.example", "email_verified": false}
		}, nil, "no member yet"},
	} {
		t.Run(c.name, func(t *testing.T) {
			m, service := served(t)
			byMail := model.Member{ID: "u-mail", Issuer: service.URL, Email: "Post@quill.example", Role: model.Administrator, AddedAt: now}
			must(t, m.db.PutMember(t.Context(), byMail))
			state, back := m.begin(service)
			if c.spoil != nil {
				c.spoil(service)
			}
			if c.back != nil {
				back = c.back(back)
			}
			w := m.visit(back, state)
			if w.Code != 403 || !strings.Contains(w.Body.String(), c.says) {
				t.Errorf("answered %d, want 403 and %q: %s", w.Code, c.says, w.Body)
			}
			for _, set := range cookies(w) {
				if set.Name == "osier-sign-in" {
					t.Errorf("a browser was let in with %+v", set)
				}
			}
		})
	}
}

func TestASignInComesBackOnceAndToItsBrowser(t *testing.T) {
	m, service := served(t)
	state, back := m.begin(service)
	if w := m.visit(back); w.Code != 403 { // another browser
		t.Errorf("without the cookie: %d", w.Code)
	}
	if w := m.visit(back, state); w.Code != 303 {
		t.Fatalf("answered %d: %s", w.Code, w.Body)
	}
	if w := m.visit(back, state); w.Code != 403 || !strings.Contains(w.Body.String(), "used before") {
		t.Errorf("the same answer again: %d %s", w.Code, w.Body)
	}
}

func TestAMemberIsFoundByAVerifiedAddress(t *testing.T) {
	m, service := served(t)
	must(t, m.db.PutMember(t.Context(), model.Member{ID: "u-mail", Issuer: service.URL, Email: "Post@quill.example", Role: model.Administrator, AddedAt: now}))
	service.tell = map[string]any{"sub": "1", "email": "post@quill.example", "email_verified": true}
	state, back := m.begin(service)
	if w := m.visit(back, state); w.Code != 303 {
		t.Errorf("answered %d: %s", w.Code, w.Body)
	}
}

func TestTheSignInServiceMayBeDown(t *testing.T) {
	m, service := served(t)
	service.Close()
	if w := m.visit("/sign-in/service"); w.Code != 503 || w.Header().Get("Retry-After") == "" {
		t.Errorf("answered %d %v", w.Code, w.Header())
	}
	if w := m.visit("/sign-in"); w.Code != 200 || !strings.Contains(w.Body.String(), `name="token"`) {
		t.Errorf("the form of tokens: %d", w.Code)
	}
}
