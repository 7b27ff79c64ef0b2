//go:build browser

package main

import (
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"encoding/pem"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"osier/model"
)

// withCertificate serves over https, as a phone needs it. The certificate is the
// test library's own.
func withCertificate(t *testing.T) *bankside {
	t.Helper()
	lent := httptest.NewTLSServer(http.NotFoundHandler())
	t.Cleanup(lent.Close)
	pair := lent.TLS.Certificates[0]
	der, err := x509.MarshalPKCS8PrivateKey(pair.PrivateKey)
	fatal(t, err)
	cert, key := filepath.Join(t.TempDir(), "cert.pem"), filepath.Join(t.TempDir(), "key.pem")
	fatal(t, os.WriteFile(cert, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: pair.Certificate[0]}), 0o600))
	fatal(t, os.WriteFile(key, pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: der}), 0o600))
	trusting := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: lent.Client().Transport.(*http.Transport).TLSClientConfig.RootCAs}}}
	return openBankside(t, cert, key, trusting)
}

// makeToken makes one as the command does, and with it ends the open house.
func (b *bankside) makeToken(role model.Role, angler string) (secret string) {
	b.t.Helper()
	secret, err := model.NewSecret(rand.Reader)
	fatal(b.t, err)
	token, err := model.Token{Role: role, Angler: angler}.Made(secret, time.Now())
	fatal(b.t, err)
	fatal(b.t, b.db.AddToken(b.t.Context(), token, model.SecretDigest(secret)))
	return secret
}

// A club's server, over https and with credentials: what is logged before
// anybody signed in waits in the phone, and is sent when they have.
func TestBankSendsOnceSignedIn(t *testing.T) {
	b := withCertificate(t)
	b.register("quillmarsh-pit")
	secret := b.makeToken(model.AnglerRole, "sedge")
	p := b.newPhone(t, t.TempDir())
	if !value[bool](p, `isSecureContext && navigator.serviceWorker.ready.then(() => true)`) {
		t.Fatal("over https the page is kept in the phone")
	}
	p.begin("quillmarsh-pit")
	p.logs("Cast made")
	p.logs("Settled")
	p.untilShown("sending", "3 not sent yet, kept in this phone. The server does not take it: nobody is signed in here.")
	session := p.session()
	if got := b.events(session); len(got) != 0 {
		t.Errorf("nobody is signed in, and the server took %d events", len(got))
	}
	p.do(chromedp.Tap(chromedp.CSS(`#signin a`), chromedp.NodeVisible), chromedp.WaitVisible(chromedp.CSS(`[name=token]`)),
		chromedp.SetValue(chromedp.CSS(`[name=token]`), secret), chromedp.Submit(chromedp.CSS(`[name=token]`)))
	p.do(chromedp.WaitVisible(chromedp.CSS(`#fishing`)))
	p.ready()
	p.untilShown("sending", "All is sent.")
	if got := b.events(session); len(got) != 3 {
		t.Errorf("the server has %d events, want 3", len(got))
	}
}
