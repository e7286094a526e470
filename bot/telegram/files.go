package telegram

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"

	tg "github.com/go-telegram/bot"

	"example.org/dryhand/bot"
)

var (
	// ErrTooBig: larger than the platform lets bots fetch.
	ErrTooBig = errors.New("file too big")
	// ErrGone: the platform no longer has it.
	ErrGone = errors.New("file gone")
)

const (
	// mostBytes is the platform's own limit for downloads.
	mostBytes = 20 << 20
	downloads = 3
)

// Fetch brings a file's bytes, within the platform's limit of 20 MB and a
// minute. A download cut off half-way is begun again, a few times.
//
// The error is [ErrTooBig], [ErrGone], or something that may pass.
func (c *Client) Fetch(ctx context.Context, id bot.FileID) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, fetchWithin)
	defer cancel()
	var err error
	for range downloads {
		var data []byte
		data, err = c.fetch(ctx, id)
		if err == nil {
			return data, nil
		}
		if short := (*cutOffError)(nil); !errors.As(err, &short) || ctx.Err() != nil {
			break
		}
	}
	return nil, fmt.Errorf("telegram: fetch: %w", c.scrub(err))
}

// cutOffError is a download that ended before its end.
type cutOffError struct{ err error }

func (e *cutOffError) Error() string { return "download cut off: " + e.err.Error() }
func (e *cutOffError) Unwrap() error { return e.err }

func (c *Client) fetch(ctx context.Context, id bot.FileID) ([]byte, error) {
	f, err := c.GetFile(ctx, &tg.GetFileParams{FileID: string(id)})
	switch {
	case err != nil && strings.Contains(err.Error(), "file is too big"):
		return nil, ErrTooBig
	case errors.Is(err, tg.ErrorBadRequest):
		return nil, fmt.Errorf("%w: %w", ErrGone, err)
	case err != nil:
		return nil, err
	case f.FileSize > mostBytes:
		return nil, ErrTooBig
	case f.FilePath == "":
		return nil, fmt.Errorf("%w: no path", ErrGone)
	}
	return c.download(ctx, f.FilePath, f.FileSize)
}

// download reads a file. stated is its size by the platform's word, 0 if unsaid.
func (c *Client) download(ctx context.Context, path string, stated int64) ([]byte, error) {
	// The link holds the token: it is neither logged nor kept.
	link := c.server + "/file/bot" + c.token + "/" + (&url.URL{Path: path}).EscapedPath()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, link, nil)
	if err != nil {
		return nil, err
	}
	resp, err := c.files.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	switch {
	case resp.StatusCode == http.StatusNotFound, resp.StatusCode == http.StatusGone:
		return nil, fmt.Errorf("%w: status %d", ErrGone, resp.StatusCode)
	case resp.StatusCode != http.StatusOK:
		return nil, fmt.Errorf("status %d", resp.StatusCode)
	case resp.ContentLength > mostBytes:
		return nil, ErrTooBig
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, mostBytes+1))
	switch {
	case len(data) > mostBytes:
		return nil, ErrTooBig
	case err != nil:
		return nil, &cutOffError{err}
	case stated > 0 && int64(len(data)) < stated:
		return nil, &cutOffError{io.ErrUnexpectedEOF}
	}
	return data, nil
}
