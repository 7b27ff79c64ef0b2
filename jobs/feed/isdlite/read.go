package isdlite

import (
	"bufio"
	"compress/gzip"
	"io"

	"osier/model"
)

// largestFile bounds what is unpacked: fifteen times the lines of a year (our
// choice).
const largestFile = 8 << 20

// readAll reads the file whole, unpacking it where it begins as gzip does
// (RFC 1952 2.3.1). A file cut off while packed is an error, not half a file.
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
		return nil, &model.Error{Code: model.TooLarge, Field: "archive file", Wrong: "it is larger than 8 MiB", Right: right}
	}
	return body, nil
}
