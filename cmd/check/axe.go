package main

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha512"
	"encoding/base64"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
)

// The checker of accessibility that looks at the pages, and its digest as the npm
// registry gives it.
const (
	axePackage = "axe-core@4.14.1"
	axeSHA512  = "FHfa+lmNjQZfJz1q8wKqIDwC6DExcHt/pkjNQb09a3NPjCKg2rhu5qb2S4r76ASyFNNtuFooJpZe37OgudVGtQ=="
	axeScript  = "package/axe.min.js"
	axeEnv     = "OSIER_AXE" // names the script for the browser tests
)

// browser tries the pages in a real browser, and has axe-core look at them where
// npm is there to fetch it: it is no program that a distribution packs, and is
// said to be missing rather than asked for.
func browser(ctx context.Context) error {
	if os.Getenv(axeEnv) == "" {
		home, err := os.MkdirTemp("", "osier-axe")
		if err != nil {
			return fmt.Errorf("make a folder for axe-core: %w", err)
		}
		defer os.RemoveAll(home)
		script, err := fetchAxe(ctx, home)
		var altered *alteredError
		switch {
		case errors.As(err, &altered):
			return err
		case err != nil:
			fmt.Printf("SKIPPED: axe-core does not look at the pages: %v\n", err)
		default:
			os.Setenv(axeEnv, script)
			defer os.Unsetenv(axeEnv)
		}
	}
	return command("go", "test", "-tags", "browser", "-short", "-run", "^Test(Bank|Pages)", "-count=1", "-timeout", "8m", "./cmd/osier")(ctx)
}

// fetchAxe brings the script into a folder.
func fetchAxe(ctx context.Context, folder string) (script string, err error) {
	pack := exec.CommandContext(ctx, "npm", "pack", axePackage, "--silent")
	pack.Dir = folder
	if out, err := pack.CombinedOutput(); err != nil {
		return "", fmt.Errorf("npm pack %s: %w %s", axePackage, err, out)
	}
	packed, err := filepath.Glob(filepath.Join(folder, "*.tgz"))
	if err != nil || len(packed) != 1 {
		return "", fmt.Errorf("npm pack %s left %d packages", axePackage, len(packed))
	}
	data, err := os.ReadFile(packed[0])
	if err != nil {
		return "", fmt.Errorf("read axe-core: %w", err)
	}
	text, err := unpackAxe(data, axeSHA512)
	if err != nil {
		return "", err
	}
	script = filepath.Join(folder, "axe.min.js")
	return script, os.WriteFile(script, text, 0o600)
}

// alteredError says that a package is not the one that was read.
type alteredError struct{ got, want string }

func (e *alteredError) Error() string {
	return fmt.Sprintf("%s is not what it was: its SHA-512 is %s, want %s", axePackage, e.got, e.want)
}

// unpackAxe takes the script out of its package.
func unpackAxe(packed []byte, want string) ([]byte, error) {
	sum := sha512.Sum512(packed)
	if got := base64.StdEncoding.EncodeToString(sum[:]); got != want {
		return nil, &alteredError{got, want}
	}
	unzipped, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("unzip axe-core: %w", err)
	}
	for files := tar.NewReader(unzipped); ; {
		file, err := files.Next()
		if err != nil {
			return nil, fmt.Errorf("look for %s in axe-core: %w", axeScript, err)
		}
		if file.Name == axeScript {
			return io.ReadAll(files)
		}
	}
}
