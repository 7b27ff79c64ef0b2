package isd

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"io"
	"strings"

	"osier/model"
)

// largestFile bounds what is unpacked: a year of reports every five minutes,
// with long remarks (our choice).
const largestFile = 64 << 20

// readAll reads the file whole, unpacking it where it begins as gzip does
// (RFC 1952 2.3.1). A file cut off while packed is an error, not half a file,
// and so is a web page in its place.
func readAll(r io.Reader) ([]byte, error) {
	const right = "a file of the archive comes whole, as text or as text packed with gzip"
	in := bufio.NewReader(r)
	r = in
	if magic, err := in.Peek(2); err == nil && magic[0] == 0x1f && magic[1] == 0x8b {
		z, err := gzip.NewReader(in)
		if err != nil {
			return nil, &model.Error{Code: model.Invalid, Field: "archive file", Wrong: "it cannot be unpacked", Right: right, Err: err}
		}
		r = z
	}
	body, err := io.ReadAll(io.LimitReader(r, largestFile+1))
	if err != nil {
		return nil, &model.Error{Code: model.Invalid, Field: "archive file", Wrong: "it breaks off", Right: right, Err: err}
	}
	if len(body) > largestFile {
		return nil, &model.Error{Code: model.TooLarge, Field: "archive file", Wrong: "it is larger than 64 MiB", Right: right}
	}
	if bytes.HasPrefix(bytes.TrimSpace(body), []byte("<")) {
		return nil, model.Invalidf("archive file", right, "it is a web page")
	}
	return body, nil
}

// lines splits a file at the ends of its lines, which may be those of DOS.
func lines(body []byte) []string {
	all := strings.Split(string(body), "\n")
	for i, text := range all {
		all[i] = strings.TrimSuffix(text, "\r")
	}
	return all
}

// printable keeps raw text fit for any store: control characters become spaces
// and broken characters go.
func printable(text string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, ""))
}
