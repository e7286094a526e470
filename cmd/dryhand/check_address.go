package main

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"
)

const findAddress = "address"

// checkAddress visits the address the platform is told, as the platform would: with a
// certificate that anybody trusts, and following nowhere else. Where serve fetches its
// certificates itself, this has the first one fetched. A proxy may answer strangers as
// it likes; what counts is that it does.
func checkAddress(ctx context.Context, public string, now time.Time) finding {
	const patience, least = 20 * time.Second, 7 * 24 * time.Hour
	ctx, cancel := context.WithTimeout(ctx, patience)
	defer cancel()
	address := strings.TrimRight(public, "/") + "/telegram"
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		return wrong(findAddress, fmt.Sprintf("%s is none", public), "give --public-url as https://NAME")
	}
	visitor := *http.DefaultClient
	visitor.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	resp, err := visitor.Do(r)
	if untrusted := (*tls.CertificateVerificationError)(nil); errors.As(err, &untrusted) {
		return wrong(findAddress, fmt.Sprintf("%s shows a certificate that the platform would not take: %v", public, untrusted.Err),
			"of your own: --tls-cert needs the whole chain, and the name in it must be that of --public-url", "or let serve fetch one: --tls-domain")
	} else if err != nil {
		return wrong(findAddress, fmt.Sprintf("cannot be visited: %v", err),
			"is serve running, does the name point to this machine, and is the port open? look from another machine too",
			"serve --tls-domain fetches its certificate at the first visit, for which port 443 must be reachable from everywhere")
	}
	defer resp.Body.Close()
	switch {
	case resp.StatusCode >= 500:
		return wrong(findAddress, fmt.Sprintf("%s answers %d", public, resp.StatusCode), "does what stands before serve find it at --listen?")
	case resp.StatusCode >= 300 && resp.StatusCode < 400:
		return wrong(findAddress, fmt.Sprintf("%s leads on to %s, and the platform follows nowhere", public, resp.Header.Get("Location")), "give --public-url as the address it leads to")
	case resp.TLS == nil:
		return well(findAddress, "%s answers", public)
	}
	ends := resp.TLS.PeerCertificates[0].NotAfter
	if ends.Sub(now) < least {
		return wrong(findAddress, fmt.Sprintf("the certificate of %s ends on %s", public, ends.Format("2 Jan 2006")), "why has it not been renewed? serve --tls-domain does it by itself a month before, if port 443 is reachable")
	}
	return well(findAddress, "%s answers, with a certificate good until %s", public, ends.Format("2 Jan 2006"))
}
