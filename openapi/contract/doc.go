// Package contract holds routes, requests, answers and Go types against the
// OpenAPI document. It is for tests only: nothing that is built into the program
// imports it, so the validator is never linked there.
package contract
