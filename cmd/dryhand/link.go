package main

import (
	"context"
	"fmt"
	"io"

	"rsc.io/qr"

	"example.org/dryhand/bot/telegram"
)

// linkCommand shows where customers find the desk.
type linkCommand struct {
	TelegramToken string `help:"The bot's token." required:"" placeholder:"TOKEN"`
	TelegramAPI   string `name:"telegram-api" help:"Base address of the platform, for a stand-in." placeholder:"URL"`
	PNG           string `name:"png" help:"Also write the code as a picture, for a card or the side of a van." placeholder:"FILE"`
}

// Help is shown under link -h.
func (linkCommand) Help() string {
	return "Prints the link that opens a chat with the desk, and the same as a code to scan."
}

// Run asks the platform for the bot's name.
func (c *linkCommand) Run(ctx context.Context, std streams) error {
	name, err := botName(ctx, c.TelegramToken, c.TelegramAPI)
	if err != nil {
		return err
	}
	link := "https://t.me/" + name
	// M survives a seventh of it being dirty (ISO/IEC 18004), which on a van it is.
	code, err := qr.Encode(link, qr.M)
	if err != nil {
		return fmt.Errorf("code for %s: %w", link, err)
	}
	fmt.Fprintln(std.out, link)
	fmt.Fprintln(std.out)
	showCode(std.out, code)
	if c.PNG == "" {
		return nil
	}
	code.Scale = 16
	return replaceFile(c.PNG, func(w io.Writer) error {
		_, err := w.Write(code.PNG())
		return err
	})
}

// showCode draws a code two rows a line, dark on light whatever the terminal's
// colours, with the quiet margin of four that readers want.
func showCode(out io.Writer, code *qr.Code) {
	const margin = 4
	for y := -margin; y < code.Size+margin; y += 2 {
		fmt.Fprint(out, "\x1b[30;107m")
		for x := -margin; x < code.Size+margin; x++ {
			switch top, bottom := code.Black(x, y), code.Black(x, y+1); {
			case top && bottom:
				fmt.Fprint(out, "█")
			case top:
				fmt.Fprint(out, "▀")
			case bottom:
				fmt.Fprint(out, "▄")
			default:
				fmt.Fprint(out, " ")
			}
		}
		fmt.Fprintln(out, "\x1b[0m")
	}
}

// botName asks the platform under what name the bot is found. The error never holds
// the token.
func botName(ctx context.Context, token, api string) (string, error) {
	client, err := telegram.NewClient(token, api)
	if err != nil {
		return "", err
	}
	defer client.Close()
	return client.Name(ctx)
}
