package page_test

import (
	"os"
	"strings"
	"testing"

	"osier/api/page"
)

const smallDocument = `
openapi: 3.1.0
info: { title: Osier, version: "7", description: "First part.\n\nSecond part <b>." }
tags: [{ name: plans, description: What to feed. }, { name: waters, description: Where. }]
paths:
  /v1/plans/{plan}:
    get:
      tags: [plans]
      operationId: getPlan
      summary: One plan.
      parameters: [{ name: plan, in: path, required: true, schema: { type: string, pattern: "^p-" } }, { $ref: "#/components/parameters/Limit" }]
      responses: { "200": { description: It., headers: { ETag: {} }, content: { application/json: { schema: { $ref: "#/components/schemas/Plan" } } } }, "404": { $ref: "#/components/responses/NotFound" } }
    post:
      tags: [waters]
      operationId: postIt
      summary: Another.
      requestBody: { content: { application/json: { schema: { type: object, required: [a], properties: { a: { type: [number, "null"], minimum: 0, maximum: 5, description: How much. } } } } } }
      responses: { "204": { description: Done. } }
components:
  parameters: { Limit: { name: limit, in: query, schema: { type: integer, default: 50 } } }
  responses: { NotFound: { description: Nothing is there. } }
  schemas:
    Plan: { description: A plan., type: object, required: [hours], properties: { hours: { type: array, items: { $ref: "#/components/schemas/Hour" } }, kind: { type: string, enum: [a, b] }, was: { anyOf: [{ $ref: "#/components/schemas/Plan" }, { type: "null" }] }, inputs: { type: object, additionalProperties: { type: number } } } }
    Hour: { type: string, format: date-time, readOnly: true }
`

func TestDocsTellOperationsAndShapes(t *testing.T) {
	body, err := page.Docs([]byte(smallDocument), false)
	all := sound(t, body, err)
	holds(
		t, all, "The API, version 7", "First part.", "Second part <b>.", "plans", "What to feed.", "GET /v1/plans/{plan}", "One plan.",
		"plan in the path: string, matching ^p-; required", "limit in the query: integer, 50 when left out",
		"200 It. application/json: Plan Headers: ETag.", "404 Nothing is there.",
		"POST /v1/plans/{plan}", "Body", "application/json: object", "a: number or null, at least 0, at most 5; required. How much.", "204 Done.",
		"Shapes", "Plan", "A plan.", "hours: list of Hour; required", "kind: string, one of a, b", "was: Plan or null", "inputs: object by name, of number",
		"Hour", "string, date-time, set by the server",
	)
	checkHeadings(t, all)
	links := map[string]bool{}
	for _, e := range named(all, "a") {
		links[e.attr["href"]] = true
	}
	for _, must := range []string{"#getPlan", "#postIt", "#tag-plans", "#schema-Plan", "#schema-Hour", "/openapi.yaml"} {
		if !links[must] {
			t.Errorf("nothing leads to %s", must)
		}
	}
}

// The program's own document, whole: every link in it goes somewhere.
func TestDocsOfTheProgramAreSound(t *testing.T) {
	document, err := os.ReadFile("../../openapi/openapi.yaml")
	if err != nil {
		t.Fatal(err)
	}
	body, err := page.Docs(document, true)
	all := sound(t, body, err)
	holds(t, all, "INVENTED")
	if n := len(named(all, "h3")); n < 60 || strings.Contains(string(body), "%!") {
		t.Errorf("%d headings of operations and shapes", n)
	}
}

func TestADocumentThatIsNoneIsRefused(t *testing.T) {
	if _, err := page.Docs([]byte("a: [b"), false); err == nil {
		t.Error("it was shown")
	}
}
