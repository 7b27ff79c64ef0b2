package storetest

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"osier/model"
)

func done(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatalf("unexpected error: %v", err)
	}
}

// got passes on what a read gave, and ends the scenario when it failed.
func got[T any](t *testing.T, v T, err error) T {
	t.Helper()
	done(t, err)
	return v
}

func wantSame(t *testing.T, what string, want, got any) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

// wantError asks for an error of a code whose sentence holds every part.
func wantError(t *testing.T, err error, code model.Code, parts ...string) {
	t.Helper()
	if err == nil || model.CodeOf(err) != code {
		t.Fatalf("error %v of code %q, want code %q", err, model.CodeOf(err), code)
	}
	var e *model.Error
	if !errors.As(err, &e) || e.Wrong == "" {
		t.Errorf("error %v does not say what was wrong", err)
	}
	for _, part := range parts {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("error %q, want it to say %q", err, part)
		}
	}
}

// revision reads the count of changes.
func revision(t *testing.T, s Store) int64 {
	t.Helper()
	n, err := s.Revision(t.Context())
	return got(t, n, err)
}
