package model_test

import (
	"strings"
	"testing"

	"osier/model"
)

// refusal is one bad field: the error must name it and say what is right.
type refusal[T any] struct {
	name  string
	spoil func(*T)
	field string
	right string // part of what the message says would be right
}

// wantRefusals spoils a good value field by field.
func wantRefusals[T any](t *testing.T, good func() T, validate func(T) error, cases []refusal[T]) {
	t.Helper()
	if err := validate(good()); err != nil {
		t.Fatalf("the good one was refused: %v", err)
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			v := good()
			c.spoil(&v)
			err := validate(v)
			if model.CodeOf(err) != model.Invalid || fieldOf(err) != c.field {
				t.Fatalf("error %v about %q, want it invalid about %q", err, fieldOf(err), c.field)
			}
			if !strings.HasPrefix(err.Error(), c.field+": ") || !strings.Contains(err.Error(), c.right) {
				t.Errorf("error %q, want it to begin with the field and to say %q", err, c.right)
			}
		})
	}
}
