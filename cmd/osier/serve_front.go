package main

import (
	"net/http"
	"net/netip"
	"net/url"
	"os"
	"strings"
	"time"

	"osier/api"
	"osier/api/auth"
	"osier/model"
)

// frontFlags say how people reach the server and are let in.
type frontFlags struct {
	PublicURL    string   `help:"Where people reach it, such as https://club.example, when something stands in front." env:"OSIER_PUBLIC_URL" placeholder:"URL"`
	TrustedProxy []string `help:"A proxy, as address or network, whose X-Forwarded-For is believed; may be repeated." env:"OSIER_TRUSTED_PROXY" placeholder:"CIDR"`

	Issuer     string `name:"oidc-issuer" help:"The club's own sign-in service (OpenID Connect); takes --public-url." env:"OSIER_OIDC_ISSUER" placeholder:"URL"`
	ClientID   string `name:"oidc-client-id" help:"What we are called there." env:"OSIER_OIDC_CLIENT_ID" placeholder:"ID"`
	Secret     string `name:"oidc-client-secret" help:"Our secret there; better in the environment or a file." env:"OSIER_OIDC_CLIENT_SECRET" placeholder:"SECRET" xor:"secret"`
	SecretFile string `name:"oidc-client-secret-file" help:"A file that holds it." env:"OSIER_OIDC_CLIENT_SECRET_FILE" placeholder:"FILE" xor:"secret"`
}

// front is what the flags come to.
type front struct {
	publicURL string
	proxies   []string
	provider  api.Provider
}

// before says whether something stands in front of the server: whoever reaches it
// then need not sit at this machine, and a proxy may pass requests on as its own.
func (f front) before() bool { return f.publicURL != "" || len(f.proxies) > 0 }

func (f frontFlags) front(a *app) (front, error) {
	out := front{publicURL: f.PublicURL, proxies: f.TrustedProxy}
	if err := checkPublicURL(f.PublicURL); err != nil {
		return out, err
	}
	for _, proxy := range f.TrustedProxy {
		_, asAddress := netip.ParseAddr(proxy)
		if _, err := netip.ParsePrefix(proxy); err != nil && asAddress != nil {
			return out, model.Invalidf("trusted-proxy", "give an address or a network, such as 10.0.0.0/8", "%q is neither", proxy)
		}
	}
	if f.Issuer == "" {
		return out, nil
	}
	if f.ClientID == "" || f.PublicURL == "" {
		return out, model.Invalidf("oidc-issuer", "give --oidc-client-id and --public-url with it", "a sign-in service has to know who asks and where to send people back")
	}
	secret, err := f.secret()
	if err != nil {
		return out, err
	}
	out.provider = &auth.Provider{
		Issuer: f.Issuer, ClientID: f.ClientID, ClientSecret: secret, ReturnTo: f.PublicURL + "/sign-in/return",
		Client: &http.Client{Timeout: serviceDeadline}, Now: a.now,
	}
	return out, nil
}

// serviceDeadline is how long the sign-in service may take for one answer. Our
// choice: somebody is waiting before a browser.
const serviceDeadline = 10 * time.Second

func (f frontFlags) secret() (string, error) {
	if f.SecretFile == "" {
		return f.Secret, nil
	}
	b, err := os.ReadFile(f.SecretFile)
	if err != nil {
		return "", model.Invalidf("oidc-client-secret-file", "give a file that can be read", "%v", err)
	}
	return strings.TrimSpace(string(b)), nil
}

// checkPublicURL refuses what no browser could be sent to.
func checkPublicURL(address string) error {
	if address == "" {
		return nil
	}
	u, err := url.Parse(address)
	if err != nil || u.Scheme != "https" && u.Scheme != "http" || u.Host == "" || u.Path != "" || u.RawQuery != "" || u.User != nil {
		return model.Invalidf("public-url", "give scheme and host alone, such as https://club.example", "%q is no such address", address)
	}
	return nil
}
