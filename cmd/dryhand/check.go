package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"time"

	"example.org/dryhand/conversations/ledger"
	"example.org/dryhand/pricing"
)

// checkCommand says what is wrong before customers find out.
type checkCommand struct {
	TelegramToken string `help:"The bot's token. Without it, the platform is left out." placeholder:"TOKEN"`
	TelegramAPI   string `name:"telegram-api" help:"Base address of the platform, for a stand-in." placeholder:"URL"`
	PublicURL     string `help:"Address under which the platform reaches us, as given to serve." placeholder:"URL"`
	Owner         int64  `help:"Chat id of the owner, if it is given to serve." placeholder:"ID"`
	BackupFolder  string `help:"Folder of the nightly copies, as given to serve. Without it, they are left out." placeholder:"DIR"`
	JSON          bool   `name:"json" help:"One JSON object instead of words."`
	store
	Files business `embed:""`
}

// Help is shown under check -h.
func (checkCommand) Help() string {
	return "Ends with 0 if all is well and with 1 if something is wrong. Nothing is changed: to see whether Redis can be written to, nought is added to a count."
}

// finding is one thing that was looked at.
type finding struct {
	// What was looked at, always in the same words.
	What string `json:"what"`
	OK   bool   `json:"ok"`
	// Says is how it stands, in plain words.
	Says string `json:"says"`
	// Cure is what to do about it: commands to run, lines to change.
	Cure []string `json:"cure,omitempty"`
	// loses: bookings can go missing as it is.
	loses bool
}

func well(what, format string, args ...any) finding {
	return finding{What: what, OK: true, Says: fmt.Sprintf(format, args...)}
}

func wrong(what, says string, cure ...string) finding {
	return finding{What: what, Says: says, Cure: cure}
}

// since is how long ago something was, in words of minutes and hours.
func since(ago time.Duration) string {
	if ago < time.Minute {
		return "less than a minute"
	}
	return strings.TrimSuffix(ago.Round(time.Minute).String(), "0s")
}

// Run looks at everything and tells.
func (c *checkCommand) Run(ctx context.Context, std streams) error {
	found := checkFiles(c.Files, time.Now())
	found = append(found, c.checkStore(ctx)...)
	if c.TelegramToken != "" {
		found = append(found, checkPlatform(ctx, c.TelegramToken, c.TelegramAPI, c.PublicURL, time.Now)...)
	}
	if c.BackupFolder != "" {
		found = append(found, checkBackup(c.BackupFolder, c.Business, time.Now()))
	}
	bad := 0
	for _, f := range found {
		if !f.OK {
			bad++
		}
	}
	if c.JSON {
		lines := json.NewEncoder(std.out)
		lines.SetIndent("", "  ")
		lines.SetEscapeHTML(false)
		if err := lines.Encode(struct {
			OK       bool      `json:"ok"`
			Findings []finding `json:"findings"`
		}{bad == 0, found}); err != nil {
			return err
		}
	} else {
		showFindings(std.out, found, bad)
	}
	if bad > 0 {
		return exitError(1)
	}
	return nil
}

// checkStore looks at Redis through the ledger's own kind of client.
func (c *checkCommand) checkStore(ctx context.Context) []finding {
	options, err := ledger.Options(c.RedisURL)
	if err != nil {
		return []finding{wrong("redis", err.Error(), "give --redis-url, or set DRYHAND_REDIS_URL")}
	}
	rdb, l, err := c.open()
	if err != nil {
		return []finding{wrong("redis", err.Error(), "give another --business")}
	}
	defer rdb.Close()
	found := checkRedis(ctx, rdb, c.Business, options.Addrs[0])
	if len(found) == 1 && !found[0].OK {
		return found // it does not answer
	}
	found = append(found, checkCommit(ctx, l), checkClock(ctx, rdb, time.Now), checkLayer(ctx, l, c.Files))
	if c.TelegramToken != "" && c.Owner == 0 {
		found = append(found, checkOwner(ctx, l))
	}
	return found
}

// checkOwner looks whether anybody is there to say yes to a booking.
func checkOwner(ctx context.Context, l *ledger.Ledger) finding {
	const what = "owner"
	owner, err := storedOwner(ctx, l)
	switch {
	case err != nil:
		return wrong(what, "cannot be looked up: "+err.Error(), "see redis above")
	case owner == 0:
		return wrong(what, "nobody yet, so nobody can be asked for a booking", "open the link on the detailer's phone that serve printed when it last started: journalctl -u dryhand | grep start=")
	}
	return well(what, "somebody has opened the owner's link")
}

// showFindings writes for people.
func showFindings(out io.Writer, found []finding, bad int) {
	for _, f := range found {
		word := "ok   "
		if !f.OK {
			word = "WRONG"
		}
		fmt.Fprintf(out, "%s  %-18s %s\n", word, f.What, f.Says)
		for _, line := range f.Cure {
			fmt.Fprintf(out, "       %-18s %s\n", "→", line)
		}
	}
	if bad == 0 {
		fmt.Fprintln(out, "All is well.")
		return
	}
	fmt.Fprintf(out, "%d of %d are wrong. The lines with → say what to do.\n", bad, len(found))
}

// checkFiles looks at the rules, the wording, and the time zone the rules name.
func checkFiles(files business, now time.Time) []finding {
	var found []finding
	name := func(file string) string {
		if file == "" {
			return "the shipped one"
		}
		return file
	}
	rules, _, _, err := business{Rules: files.Rules}.load()
	if err != nil {
		found = append(found, wrong("rules file", err.Error(), "change the lines named and check again"))
	} else {
		found = append(found, well("rules file", "%s, version %s", name(files.Rules), rules.Version()), checkZone(rules.Diary.TimeZone, now), checkWorkshop(rules))
	}
	if _, _, _, err := (business{Words: files.Words}).load(); err != nil {
		found = append(found, wrong("wording", err.Error(), "change the lines named and check again"))
	} else {
		found = append(found, well("wording", "%s", name(files.Words)))
	}
	if rules != nil {
		found = append(found, checkLanguages(files, rules)...)
	}
	if files.Phrases != "" {
		if _, _, _, err := (business{Phrases: files.Phrases}).load(); err != nil {
			found = append(found, wrong("phrases", err.Error(), "change the lines named and check again"))
		} else {
			found = append(found, well("phrases", "%s, beside the shipped ones", files.Phrases))
		}
	}
	return found
}

// checkWorkshop hints at a workshop whose address nobody would read. A business can do
// without one, and so it is nothing wrong.
func checkWorkshop(rules *pricing.Rules) finding {
	const what = "workshop"
	switch at := rules.Business.Address; {
	case rules.Place.MobileOnly:
		return well(what, "none: cars are not brought here")
	case at == "":
		return well(what, "no address: customers who bring their car read only the town, and ask you where that is. Give it under business, as address")
	default:
		return well(what, "%s", at)
	}
}

// checkZone looks whether a time zone is known, and says what is known of it.
func checkZone(zone string, now time.Time) finding {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		return wrong("time zone", fmt.Sprintf("%q is not known here: %v", zone, err),
			"write a name such as Europe/London under time-zone in the rules file",
			"is it right? then the system's time zone data is old: apt-get install --only-upgrade tzdata")
	}
	offset := func(month time.Month) string {
		return time.Date(now.Year(), month, 1, 12, 0, 0, 0, loc).Format("-07:00")
	}
	return well("time zone", "%s, where it is %s now; %s in January, %s in July", zone, now.In(loc).Format("15:04 on 2 Jan"), offset(time.January), offset(time.July))
}
