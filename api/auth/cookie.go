package auth

import (
	"net/http"
	"time"
)

// The names of the cookies. Over https browsers keep the __Host- prefix for
// cookies of this very host, so that no neighbouring site can set one (RFC
// 6265bis, section 4.1.3).
const (
	signInCookie = "osier-sign-in"
	stateCookie  = "osier-state"
	hostOnly     = "__Host-"
)

// SignInFor is how long a browser stays signed in. Our choice.
const SignInFor = 14 * 24 * time.Hour

// StateFor is how long a sign-in may take at the sign-in service. Our choice.
const StateFor = 10 * time.Minute

func cookieName(name string, secure bool) string {
	if secure {
		return hostOnly + name
	}
	return name
}

// SignedInCookie tells a browser to keep a sign-in: out of reach of scripts, not
// sent with writes of other sites, and over https never without it. An empty
// secret makes the browser forget it.
func SignedInCookie(secret string, lasts time.Duration, secure bool) *http.Cookie {
	return cookie(signInCookie, secret, lasts, secure)
}

// StateCookie ties a sign-in under way to the browser that began it.
func StateCookie(state string, secure bool) *http.Cookie {
	return cookie(stateCookie, state, StateFor, secure)
}

func cookie(name, value string, lasts time.Duration, secure bool) *http.Cookie {
	seconds := int(lasts.Seconds())
	if value == "" {
		seconds = -1
	}
	return &http.Cookie{
		Name: cookieName(name, secure), Value: value, Path: "/", MaxAge: seconds,
		HttpOnly: true, Secure: secure, SameSite: http.SameSiteLaxMode,
	}
}

// SignInOf reads the secret of a browser that was let in, empty where there is
// none.
func SignInOf(r *http.Request, secure bool) string { return cookieOf(r, signInCookie, secure) }

// StateOf reads the state of a sign-in that this browser began, empty where there
// is none.
func StateOf(r *http.Request, secure bool) string { return cookieOf(r, stateCookie, secure) }

func cookieOf(r *http.Request, name string, secure bool) string {
	c, err := r.Cookie(cookieName(name, secure))
	if err != nil {
		return ""
	}
	return c.Value
}
