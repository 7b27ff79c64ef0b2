// Package openapi holds the contract of the HTTP API: openapi.yaml, an OpenAPI
// 3.1 document written by hand. The server sends it as it stands; package
// contract holds routes, requests and answers against it in tests.
package openapi

import _ "embed"

//go:embed openapi.yaml
var document []byte

// Document gives the document as YAML. Callers must not change its bytes.
func Document() []byte { return document }
