package page

import (
	_ "embed"
	"net/url"
)

// SignInPath is where a browser is let in.
const SignInPath = "/sign-in"

//go:embed signin/signin.html
var signInHTML string

var signInPart = part("sign-in", signInHTML)

// SignIn is what the page of the same name shows.
type SignIn struct {
	Wrong     string // why the last try failed, if it did
	Who       string // who is signed in, in words; empty for nobody
	Next      string // the page to go on to, of our own
	ByService bool   // whether a sign-in service is asked
	Demo      bool
}

// SignInServicePath is where a browser is sent on to the sign-in service.
const SignInServicePath = "/sign-in/service"

// Service is the address that asks the sign-in service, empty where there is none.
func (s SignIn) Service() string {
	if !s.ByService {
		return ""
	}
	return SignInServicePath + "?next=" + url.QueryEscape(s.Next)
}

// SignInPage is the form for a token, and the way to the club's own service where
// there is one.
func SignInPage(s SignIn) ([]byte, error) {
	return Frame{Title: "Sign in", Path: SignInPath, Demo: s.Demo}.Page(signInPart, s)
}
