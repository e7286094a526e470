package telegram

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strings"
	"time"

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
func (c *Client) Fetch(ctx context.Context, id bot.FileID) ([]byte, error) {
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	var err error
	for range downloads {
		var data []byte
		data, err = c.fetch(ctx, id)
		if err == nil {
			return data, nil
		}
		if !errors.Is(err, io.ErrUnexpectedEOF) || ctx.Err() != nil {
			break
		}
	}
	return nil, fmt.Errorf("telegram: fetch: %w", c.scrub(err))
}

func (c *Client) fetch(ctx context.Context, id bot.FileID) ([]byte, error) {
	f, err := c.GetFile(ctx, &tg.GetFileParams{FileID: string(id)})
	switch {
	case err != nil && strings.Contains(err.Error(), "file is too big"):
		return nil, ErrTooBig
	case errors.Is(err, tg.ErrorBadRequest), errors.Is(err, tg.ErrorNotFound):
		return nil, fmt.Errorf("%w: %w", ErrGone, err)
	case err != nil:
		return nil, err
	case f.FileSize > mostBytes:
		return nil, ErrTooBig
	}
	// The link holds the token: it is neither logged nor kept.
	link := c.server + "/file/bot" + c.token + "/" + (&url.URL{Path: f.FilePath}).EscapedPath()
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, link, nil)
	if err != nil {
		return nil, err
	}
	resp, err := c.http.Do(req)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	if resp.StatusCode != http.StatusOK {
		return nil, fmt.Errorf("%w: status %d", ErrGone, resp.StatusCode)
	}
	data, err := io.ReadAll(io.LimitReader(resp.Body, mostBytes+1))
	if err == nil && len(data) > mostBytes {
		err = ErrTooBig
	}
	return data, err
}
