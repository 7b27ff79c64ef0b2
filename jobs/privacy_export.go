package jobs

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"osier/model"
)

// Export packs everything that is stored of an angler into one zip archive: a
// file of JSON for each kind of thing, and a README that says what each holds.
func (p *Privacy) Export(ctx context.Context, angler string) ([]byte, error) {
	r, err := p.records(ctx, angler)
	if err != nil {
		return nil, err
	}
	files := []exportFile{
		{"sessions.json", "your records of sessions, as they are kept, queries included; osier import takes them", len(r.Sessions), map[string]any{"sessions": r.Sessions}},
		{"events.json", "what your devices logged of sessions, each with when it was received", len(r.Events), r.Events},
		{"plans.json", "plans that were issued to you, as they were issued", len(r.Plans), r.Plans},
		{kitFile, "your feeders, rod and weighed fills; null where none is kept", kits(r.Kit), r.Kit},
		{"readings.json", "what you read off thermometers and oxygen meters", len(r.Readings), r.Readings},
		{"reports.json", "what you reported to have seen at a water", len(r.Reports), r.Reports},
		{"imports.json", "reports on the files that your records came in, your rows of them", len(r.Imports), r.Imports},
		{"scores.json", "how the plans that you followed fared", len(r.Scores), r.Scores},
		{"tokens.json", "your credentials, those that are over among them; secrets are not kept", len(r.Tokens), r.Tokens},
		{"members.json", "how a sign-in service knows you, where one does", len(r.Members), r.Members},
		{"fits.json", "the fits made from your sessions and public ones; the figures themselves also hold other people's sessions and are left out", len(r.Fits), r.Fits},
	}
	var out bytes.Buffer
	archive := zip.NewWriter(&out)
	if err := pack(archive, "README.txt", r.At, []byte(exportReadme(r, files))); err != nil {
		return nil, err
	}
	for _, f := range files {
		body, err := json.MarshalIndent(f.content, "", "  ")
		if err != nil {
			return nil, fmt.Errorf("export %s: %w", f.name, err)
		}
		if string(body) == "null" && f.name != kitFile {
			body = []byte("[]")
		}
		if err := pack(archive, f.name, r.At, append(body, '\n')); err != nil {
			return nil, err
		}
	}
	if p.Demo {
		if err := archive.SetComment("INVENTED: this club, its waters, people, weather and catches do not exist."); err != nil {
			return nil, fmt.Errorf("mark the archive: %w", err)
		}
	}
	if err := archive.Close(); err != nil {
		return nil, fmt.Errorf("close the archive: %w", err)
	}
	return out.Bytes(), nil
}

// kitFile holds one thing; the others hold lists.
const kitFile = "kit.json"

type exportFile struct {
	name, about string
	n           int
	content     any
}

func kits(k *model.Kit) int {
	if k == nil {
		return 0
	}
	return 1
}

func pack(archive *zip.Writer, name string, at time.Time, body []byte) error {
	w, err := archive.CreateHeader(&zip.FileHeader{Name: name, Method: zip.Deflate, Modified: at})
	if err == nil {
		_, err = w.Write(body)
	}
	if err != nil {
		return fmt.Errorf("export %s: %w", name, err)
	}
	return nil
}

func exportReadme(r model.AnglerRecords, files []exportFile) string {
	var out strings.Builder
	fmt.Fprintf(&out, "Everything that is stored of the angler %s, on %s.\n\n", r.Angler, r.At.Format(time.RFC3339))
	out.WriteString("Each file is JSON. Units stand in the names of fields: _c is degrees Celsius, _mps metres a second, _hpa hectopascals, _mm, _m, _cm, _g and _ml as usual, _g_h damp grams of feed an hour, _min and _h minutes and hours. Times carry their offset. What is null or missing was not known.\n\n")
	for _, f := range files {
		fmt.Fprintf(&out, "%-14s %6d  %s\n", f.name, f.n, f.about)
	}
	out.WriteString("\nWeather, waters and what clubs published are nobody's own and are not in here.\n")
	return out.String()
}
