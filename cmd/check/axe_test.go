package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"testing"
)

// packed is a package of one file, and its digest.
func packed(t *testing.T, name, text string) (data []byte, digest string) {
	t.Helper()
	var out bytes.Buffer
	zipped := gzip.NewWriter(&out)
	files := tar.NewWriter(zipped)
	if err := files.WriteHeader(&tar.Header{Name: name, Mode: 0o600, Size: int64(len(text))}); err != nil {
		t.Fatal(err)
	}
	if _, err := files.Write([]byte(text)); err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(files.Close(), zipped.Close()); err != nil {
		t.Fatal(err)
	}
	sum := sha512.Sum512(out.Bytes())
	return out.Bytes(), base64.StdEncoding.EncodeToString(sum[:])
}

func TestAPackageIsTakenByItsDigestAlone(t *testing.T) {
	data, digest := packed(t, axeScript, "look()")
	if text, err := unpackAxe(data, digest); err != nil || string(text) != "look()" {
		t.Errorf("the script is %q, %v", text, err)
	}
	var altered *alteredError
	if _, err := unpackAxe(append(data, 0), digest); !errors.As(err, &altered) {
		t.Errorf("an altered package gives %v", err)
	}
	other, digest := packed(t, "package/other.js", "look()")
	if _, err := unpackAxe(other, digest); err == nil || errors.As(err, &altered) {
		t.Errorf("a package without the script gives %v", err)
	}
}
