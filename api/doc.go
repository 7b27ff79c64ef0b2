// Package api answers over HTTP. A handler parses, calls and answers; it never
// pulls weather or makes a fit, so that readers put no load on public feeds.
//
// Answers are encoded before a status is written, since an encoder that fails
// half-way would otherwise send 200 with an empty body (a NaN does that). Every
// error leaves as a problem document (RFC 9457) that names the field, what was
// wrong and what would be right. Reads carry an ETag and answer 304.
//
// The contract is openapi/openapi.yaml. The package declares the few methods it
// needs of the store and of the stages; cmd/osier hands them over.
package api
