package page

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"path"

	"osier/model"
)

//go:generate go test -run ^TestTheIconsAreDrawnFromTheDrawing$ . -args -write-icons

//go:embed bank
var bankFiles embed.FS

// File is one file of a page, as it is served.
type File struct {
	Type string
	Body []byte
}

// types are the media types of what is embedded, by the end of the name.
var types = map[string]string{
	".html": "text/html; charset=utf-8", ".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".webmanifest": "application/manifest+json", ".svg": "image/svg+xml", ".png": "image/png",
}

// Paths of the page and of the script that keeps it in a phone.
const (
	BankPath   = "/bank"
	BankWorker = "/bank/sw.js"
)

// Bank is the bankside page by path: the page itself, and what it loads. A demo
// says on it that all is invented. The script that keeps the page in a phone
// carries the digest of all files in place of VERSION, so that a phone fetches
// another release anew.
func Bank(demo bool) (map[string]File, error) {
	files := map[string]File{}
	entries, err := bankFiles.ReadDir("bank")
	if err != nil {
		return nil, fmt.Errorf("read the bankside page: %w", err)
	}
	digest := sha256.New()
	for _, e := range entries {
		body, err := bankFiles.ReadFile(path.Join("bank", e.Name()))
		if err != nil {
			return nil, fmt.Errorf("read the bankside page: %w", err)
		}
		at := path.Join(BankPath, e.Name())
		if e.Name() == "index.html" {
			at = BankPath
			if body, err = render(body, demo); err != nil {
				return nil, fmt.Errorf("render the bankside page: %w", err)
			}
		}
		fmt.Fprintf(digest, "%s %d\n%s", at, len(body), body)
		files[at] = File{Type: types[path.Ext(e.Name())], Body: body}
	}
	worker := files[BankWorker]
	worker.Body = bytes.ReplaceAll(worker.Body, []byte("VERSION"), []byte(hex.EncodeToString(digest.Sum(nil)[:6])))
	files[BankWorker] = worker
	return files, nil
}

func render(text []byte, demo bool) ([]byte, error) {
	t, err := template.New("bank").Parse(string(text))
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = t.Execute(&out, struct {
		Demo     bool
		Deferral string
	}{demo, model.Deferral})
	return out.Bytes(), err
}
