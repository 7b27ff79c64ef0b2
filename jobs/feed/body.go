package feed

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"mime"
	"net/http"
	"strings"
)

// readBody reads a whole answer and undoes its compression; neither the bytes
// on the wire nor those unpacked may exceed the limit. It is all or nothing:
// with an error there is no body.
func readBody(resp *http.Response, limit int64) ([]byte, error) {
	if resp.ContentLength > limit {
		return nil, fmt.Errorf("%w: %d bytes are announced, at most %d are taken", ErrTooLarge, resp.ContentLength, limit)
	}
	raw, err := readAtMost(resp.Body, limit)
	if err != nil {
		return nil, err
	}
	if resp.ContentLength >= 0 && int64(len(raw)) != resp.ContentLength {
		return nil, fmt.Errorf("%w: %d of %d announced bytes came", ErrCutOff, len(raw), resp.ContentLength)
	}
	switch encoding := strings.ToLower(resp.Header.Get("Content-Encoding")); encoding {
	case "", "identity":
		return raw, nil
	case "gzip", "x-gzip":
		return unpack(raw, limit)
	default:
		return nil, fmt.Errorf("%w: it is packed as %q, only gzip was offered", ErrWrongContent, encoding)
	}
}

// unpack undoes gzip.
func unpack(packed []byte, limit int64) ([]byte, error) {
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return nil, fmt.Errorf("%w: its gzip header is wrong: %w", ErrCutOff, err)
	}
	return readAtMost(z, limit)
}

// readAtMost reads to the end; more than limit bytes is an error.
func readAtMost(r io.Reader, limit int64) ([]byte, error) {
	body, err := io.ReadAll(io.LimitReader(r, limit+1))
	if int64(len(body)) > limit {
		return nil, fmt.Errorf("%w: at most %d bytes are taken", ErrTooLarge, limit)
	}
	if timedOut(err) {
		return nil, fmt.Errorf("%w: %w", ErrTimeout, err)
	}
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrCutOff, err)
	}
	return body, nil
}

// timedOut says whether waiting was given up.
func timedOut(err error) bool {
	var t interface{ Timeout() bool }
	return errors.As(err, &t) && t.Timeout()
}

// checkContent refuses an answer of the wrong kind: most often a page that a
// proxy, a login screen or a feed in trouble puts in place of data.
func checkContent(want Media, contentType string, body []byte) error {
	text := bytes.TrimSpace(bytes.TrimPrefix(body, []byte("\ufeff")))
	if len(text) == 0 {
		return fmt.Errorf("%w: it is empty", ErrWrongContent)
	}
	media, _, err := mime.ParseMediaType(contentType)
	if err != nil {
		media = ""
	}
	if media == "text/html" || media == "application/xhtml+xml" || text[0] == '<' {
		return fmt.Errorf("%w: a web page came where %s was expected", ErrWrongContent, want.words())
	}
	if want == JSON && media != "" && !strings.HasSuffix(media, "json") {
		return fmt.Errorf("%w: %s came where %s was expected", ErrWrongContent, media, want.words())
	}
	return nil
}
