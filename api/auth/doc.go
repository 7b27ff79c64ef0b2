// Package auth says who may do what. It reads what a request carries, weighs a
// principal against a rule or an object, and answers; what is stored and what is
// written to the caller is the business of package api.
//
// A route names one Access, which is asked before its handler runs. What belongs
// to somebody is weighed again in the handler, by the object itself: being let
// in says nothing about whose records may be seen (OWASP API Security Top 10,
// 2023, API1 and API5).
//
// References: RFC 6750 (bearer tokens), RFC 6265bis (cookies), RFC 7636 (PKCE),
// OpenID Connect Core 1.0.
package auth
