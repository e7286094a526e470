package telegram

import "time"

// SetPatience changes how long a client waits for an answer.
func SetPatience(c *Client, d time.Duration) { c.calls.Timeout = d }

// SetFilePatience changes how long a client waits for a file.
func SetFilePatience(c *Client, d time.Duration) { c.files.Timeout = d }
