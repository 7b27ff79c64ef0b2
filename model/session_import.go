package model

import (
	"bytes"
	"fmt"
	"io"
	"unicode/utf8"
)

// What one file of records may hold. Our choice: some fifty years of a large
// club's sessions.
const (
	mostImportBytes = 32 << 20
	mostImportRows  = 100_000
)

// readImport takes in a whole file of records, without its byte-order mark,
// and refuses what is too long or no text.
func readImport(r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, mostImportBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read the session records: %w", err)
	}
	if len(data) > mostImportBytes {
		return nil, &Error{Code: TooLarge, Field: "file", Wrong: "it is longer than 32 MiB", Right: "send it in parts"}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	start := bytes.TrimSpace(data)
	switch {
	case len(start) == 0:
		return nil, Invalidf("file", "send session records as CSV or JSON", "it is empty")
	case bytes.IndexByte(data, 0) >= 0 || !utf8.Valid(data):
		return nil, Invalidf("file", "export the records as CSV or JSON in UTF-8", "it is no text in UTF-8: a spreadsheet, a picture or another encoding")
	case start[0] == '<':
		return nil, Invalidf("file", "export the records as CSV or JSON", "it is a web page or XML")
	}
	return data, nil
}

func tooManyRows(what string) error {
	return &Error{Code: TooLarge, Field: "file", Wrong: fmt.Sprintf("it has more than %d %s", mostImportRows, what), Right: "send it in parts"}
}

// finished completes a record and refuses it where it is wrong in itself;
// whether its water exists is for the caller to find out.
func (s Session) finished(d Defaults) (Session, error) {
	s, err := s.Completed(d)
	if err != nil {
		return s, err
	}
	if err := s.validateRecord(); err != nil {
		return s, err
	}
	return s, s.validateNotAhead(d.Now)
}
