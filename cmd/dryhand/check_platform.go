package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"example.org/dryhand/bot/telegram"
)

// What is looked at on the platform.
const (
	findBot     = "bot"
	findOurs    = "clock, platform"
	findWebhook = "webhook"
	findKinds   = "kinds of updates"
	findPending = "waiting updates"
	findFailed  = "last delivery"
)

// checkPlatform asks the platform whether it knows the bot and brings its updates
// to where they should go.
func checkPlatform(ctx context.Context, token, api, public string, now func() time.Time) []finding {
	client, err := telegram.NewClient(token, api)
	if err != nil {
		return []finding{wrong(findBot, err.Error(), "copy the token again")}
	}
	defer client.Close()
	// The library puts the token into the words of some errors.
	hide := func(err error) string { return strings.ReplaceAll(err.Error(), token, "***") }
	const patience = 15 * time.Second
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	me, err := client.GetMe(ctx)
	switch {
	case errors.Is(err, tg.ErrorUnauthorized), errors.Is(err, tg.ErrorNotFound):
		return []finding{wrong(findBot, "the platform does not know this token", "copy the token again; if it was replaced at the platform, the old one is void")}
	case err != nil:
		return []finding{wrong(findBot, "the platform cannot be asked: "+hide(err), "can this machine reach the internet, and is --telegram-api right?")}
	}
	found := []finding{well(findBot, "@%s", me.Username)}
	if theirs, err := client.Time(ctx); err == nil { // a platform that says no time is no fault of ours
		found = append(found, checkOurClock(theirs, now()))
	}
	hook, err := client.GetWebhookInfo(ctx)
	if err != nil {
		return append(found, wrong(findWebhook, "the platform cannot be asked: "+hide(err), "try again"))
	}
	found = append(found, checkWebhook(hook, public))
	if public != "" {
		found = append(found, checkAddress(ctx, public, now()))
	}
	if hook.URL != "" {
		found = append(found, checkKinds(hook))
	}
	return append(found, checkPending(hook), checkDelivery(hook, now()))
}

// checkOurClock compares our clock with the platform's. Redis is often on the same
// machine and goes wrong with it.
func checkOurClock(theirs, ours time.Time) finding {
	const most = 5 * time.Second // theirs is told in whole seconds, and was some time on its way
	skew := ours.Sub(theirs).Round(time.Second)
	switch {
	case skew > most:
		return wrong(findOurs, fmt.Sprintf("our clock is %v ahead of the platform's; holds and reminders go by ours", skew), "timedatectl set-ntp true")
	case skew < -most:
		return wrong(findOurs, fmt.Sprintf("our clock is %v behind the platform's; holds and reminders go by ours", -skew), "timedatectl set-ntp true")
	}
	return well(findOurs, "the platform's clock and ours agree to %v", max(skew.Abs(), time.Second))
}

// checkKinds compares the kinds of updates the platform brings with those we need.
// Without one of them taps, say, would never arrive; what we do not need is other
// people's data.
func checkKinds(hook *models.WebhookInfo) finding {
	cure := "dryhand serve --public-url registers them when it starts: restart it"
	if len(hook.AllowedUpdates) == 0 {
		return wrong(findKinds, "all that the platform has, more than are needed", cure)
	}
	var missing, idle []string
	for _, kind := range telegram.UpdateKinds() {
		if !slices.Contains(hook.AllowedUpdates, kind) {
			missing = append(missing, kind)
		}
	}
	for _, kind := range hook.AllowedUpdates {
		if !slices.Contains(telegram.UpdateKinds(), kind) {
			idle = append(idle, kind)
		}
	}
	var says []string
	if len(missing) > 0 {
		says = append(says, "never arriving: "+strings.Join(missing, ", "))
	}
	if len(idle) > 0 {
		says = append(says, "brought and not needed: "+strings.Join(idle, ", "))
	}
	if len(says) > 0 {
		return wrong(findKinds, strings.Join(says, "; "), cure)
	}
	return well(findKinds, "%s, and no others", strings.Join(telegram.UpdateKinds(), ", "))
}

// checkWebhook compares where updates are brought with where we are.
func checkWebhook(hook *models.WebhookInfo, public string) finding {
	want := strings.TrimRight(public, "/") + "/telegram"
	switch {
	case public == "" && hook.URL == "":
		return well(findWebhook, "none: updates are kept until they are fetched. Right for serve --poll; for a public address give --public-url")
	case public == "":
		return well(findWebhook, "updates are brought to %s; give --public-url to compare", hook.URL)
	case hook.URL == "":
		return wrong(findWebhook, "none is registered, so nothing is brought to "+want, "dryhand serve --public-url "+public+" registers it when it starts")
	case hook.URL != want:
		return wrong(findWebhook, fmt.Sprintf("updates are brought to %s, not to %s", hook.URL, want),
			"is another desk running with this token? if not: dryhand serve --public-url "+public+" registers it when it starts")
	}
	return well(findWebhook, "updates are brought to %s", hook.URL)
}

func checkPending(hook *models.WebhookInfo) finding {
	// most is what a busy minute may leave waiting; more means that nobody takes
	// them.
	const most = 20
	if n := hook.PendingUpdateCount; n > most {
		return wrong(findPending, fmt.Sprintf("%d: nobody takes them", n), "is serve running, and does GET /readyz at its address say ready?")
	}
	return well(findPending, "%d", hook.PendingUpdateCount)
}

// checkDelivery looks at the last failed delivery. The platform goes on naming it
// after it has been mended.
func checkDelivery(hook *models.WebhookInfo, now time.Time) finding {
	const fresh = time.Hour
	if hook.LastErrorDate == 0 {
		return well(findFailed, "no failure is known")
	}
	ago := now.Sub(time.Unix(int64(hook.LastErrorDate), 0))
	if ago > fresh && hook.PendingUpdateCount == 0 {
		return well(findFailed, "failed %s ago (%s) and nothing is waiting", since(ago), hook.LastErrorMessage)
	}
	return wrong(findFailed, fmt.Sprintf("failed %s ago: %s; named for an hour after it is mended", since(ago), hook.LastErrorMessage),
		"401: --webhook-secret is not the one that was registered; start serve with --public-url again",
		"403, 404: what stands before serve refuses the platform, or leads elsewhere; see its lines for /telegram",
		"503: serve cannot reach Redis; see above",
		"anything else: is serve running, and is its address reachable over HTTPS from outside?")
}
