//go:build peers

package publish

import (
	"context"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"math/big"
	"net"
	"os"
	"os/exec"
	"os/user"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/eclipse/paho.golang/packets"
	"github.com/eclipse/paho.golang/paho"

	"beamhelm/app/desk"
)

// broker is Debian's mosquitto on a port of its own, with TLS and a password.
type broker struct {
	*testing.T
	folder, port string
	process      *exec.Cmd
}

func newBroker(t *testing.T) *broker {
	t.Helper()
	b := &broker{T: t, folder: t.TempDir()}
	probe, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	_, b.port, _ = net.SplitHostPort(probe.Addr().String())
	probe.Close()
	b.certify()
	// Its own name for the user, or it would give up the right to read these files.
	me, err := user.Current()
	if err != nil {
		t.Fatal(err)
	}
	b.write("mosquitto.conf",
		fmt.Sprintf(
			"user %s\nlistener %s 127.0.0.1\ncertfile %s\nkeyfile %s\npassword_file %s\nallow_anonymous false\n",
			me.Username, b.port, b.in("certificate.pem"), b.in("key.pem"), b.in("passwords")))
	if out, err := exec.Command("mosquitto_passwd", "-b", "-c", b.in("passwords"), "dish",
		"a secret").CombinedOutput(); err != nil {
		t.Fatalf("mosquitto_passwd: %v: %s", err, out)
	}
	b.write("password", "a secret\n")
	b.write("wrong", "another\n")
	b.start()
	t.Cleanup(b.stop)
	return b
}

func (b *broker) in(name string) string { return filepath.Join(b.folder, name) }

func (b *broker) write(name, text string) {
	b.Helper()
	if err := os.WriteFile(b.in(name), []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
}

// certify makes a certificate for localhost that signs itself.
func (b *broker) certify() {
	b.Helper()
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		b.Fatal(err)
	}
	form := &x509.Certificate{
		SerialNumber: big.NewInt(1), Subject: pkix.Name{CommonName: "localhost"}, DNSNames: []string{"localhost"},
		NotBefore: time.Now().Add(-time.Hour), NotAfter: time.Now().Add(time.Hour),
		IsCA: true, BasicConstraintsValid: true, KeyUsage: x509.KeyUsageDigitalSignature | x509.KeyUsageCertSign,
	}
	certificate, err := x509.CreateCertificate(rand.Reader, form, form, &key.PublicKey, key)
	if err != nil {
		b.Fatal(err)
	}
	private, err := x509.MarshalECPrivateKey(key)
	if err != nil {
		b.Fatal(err)
	}
	b.write("certificate.pem", string(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: certificate})))
	b.write("key.pem", string(pem.EncodeToMemory(&pem.Block{Type: "EC PRIVATE KEY", Bytes: private})))
}

func (b *broker) start() {
	b.Helper()
	b.process = exec.Command("mosquitto", "-c", b.in("mosquitto.conf"))
	if err := b.process.Start(); err != nil {
		b.Fatal(err)
	}
	within(b.T, "the broker listens", func() bool {
		c, err := net.Dial("tcp", "127.0.0.1:"+b.port)
		if err == nil {
			c.Close()
		}
		return err == nil
	})
}

func (b *broker) stop() {
	b.process.Process.Kill()
	b.process.Wait()
}

// within waits until something is so.
func within(t *testing.T, what string, so func() bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); !so(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%s: not within 30 s", what)
		}
	}
}

// listener is a program elsewhere that hears all topics.
type listener struct {
	mu    sync.Mutex
	heard []string
}

func (b *broker) listen() *listener {
	b.Helper()
	authority, err := os.ReadFile(b.in("certificate.pem"))
	if err != nil {
		b.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AppendCertsFromPEM(authority)
	connection, err := tls.Dial("tcp", "127.0.0.1:"+b.port, &tls.Config{RootCAs: roots, ServerName: "localhost"})
	if err != nil {
		b.Fatal(err)
	}
	l := &listener{}
	c := paho.NewClient(paho.ClientConfig{Conn: packets.NewThreadSafeConn(connection),
		OnPublishReceived: []func(paho.PublishReceived) (bool, error){
			func(r paho.PublishReceived) (bool, error) {
				l.mu.Lock()
				defer l.mu.Unlock()
				l.heard = append(l.heard, r.Packet.Topic+" "+string(r.Packet.Payload))
				return true, nil
			},
		}})
	ctx, end := context.WithTimeout(context.Background(), 20*time.Second)
	defer end()
	if _, err := c.Connect(ctx, &paho.Connect{KeepAlive: 30, CleanStart: true, Username: "dish", UsernameFlag: true,
		Password: []byte("a secret"), PasswordFlag: true}); err != nil {
		b.Fatal(err)
	}
	if _, err := c.Subscribe(ctx, &paho.Subscribe{Subscriptions: []paho.SubscribeOptions{{Topic: "#",
		QoS: 1}}}); err != nil {
		b.Fatal(err)
	}
	return l
}

// count says how often something with these words was heard.
func (l *listener) count(topic, words string) (n int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, h := range l.heard {
		if strings.HasPrefix(h, topic+" ") && strings.Contains(h, words) {
			n++
		}
	}
	return n
}

// hasHeard says whether exactly this was heard.
func (l *listener) hasHeard(message string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Contains(l.heard, message)
}

func (l *listener) await(t *testing.T, topic, words string) {
	t.Helper()
	within(t, "hearing "+topic+" "+words, func() bool { return l.count(topic, words) > 0 })
}

// publishTo runs a publisher to the broker; end ends it.
func (b *broker) publishTo(d Desk, password string) (p *Publisher, end func()) {
	b.Helper()
	p, err := New(d, Config{Broker: "mqtts://localhost:" + b.port, Authority: b.in("certificate.pem"), User: "dish",
		PasswordFile: b.in(password), Topic: "club/north"})
	if err != nil {
		b.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { p.Run(ctx); close(done) }()
	ended := false
	end = func() {
		cancel()
		<-done
		ended = true
	}
	b.Cleanup(func() {
		if !ended {
			end()
		}
	})
	return p, end
}

// TestMosquitto: everything arrives over TLS with a password; while the broker
// is away nothing waits for it, and afterwards all events come in their order
// and everything else as it is then.
func TestMosquitto(t *testing.T) {
	b, d := newBroker(t), newBench()
	d.say("first", "second")
	l := b.listen() // before anything is published: events are not kept for those that come later
	p, end := b.publishTo(d, "password")
	l.await(t, "club/north/online", "yes")
	l.await(t, "club/north/status", `"activity":"tracking"`)
	l.await(t, "club/north/reading/drive_supply_v", "24.2")
	l.await(t, "club/north/alarms", `"message":"Link lost"`)
	l.await(t, "club/north/event", `"message":"second"`)

	b.stop()
	within(t, "telling that the broker is away", func() bool { return p.Trouble() != "" })
	d.say("while away", "still away")
	d.change(func(s *desk.Status) { s.Activity = desk.LockedOut })
	b.start()
	// What the new broker keeps is what a listener that comes later hears.
	after := b.listen()
	after.await(t, "club/north/online", "yes")
	after.await(t, "club/north/status", `"activity":"locked out"`)
	after.await(t, "club/north/reading/drive_supply_v", "24.2")
	within(t, "trouble is over", func() bool { return p.Trouble() == "" })
	d.say("after it")
	after.await(t, "club/north/event", `"message":"after it"`)
	if n := after.count("club/north/event", "still away"); n > 1 {
		t.Errorf("an event came %d times", n)
	}

	d.change(func(s *desk.Status) { s.Link.State = desk.LinkLost })
	// An empty payload: not known any more, and not kept for those that come later.
	within(t, "the reading is withdrawn", func() bool { return after.hasHeard("club/north/reading/drive_supply_v ") })
	end()
	within(t, "the end is known", func() bool { return after.count("club/north/online", "no") > 0 })
}

func TestMosquittoRefusesAWrongPassword(t *testing.T) {
	b := newBroker(t)
	p, _ := b.publishTo(newBench(), "wrong")
	within(t, "the refusal is told", func() bool { return p.Trouble() != "" })
	if words := p.Trouble(); strings.Contains(words, "another") {
		t.Errorf("it tells the password: %s", words)
	}
}

func TestACertificateThatIsNotTrusted(t *testing.T) {
	b := newBroker(t)
	other := newBroker(t)
	p, err := New(newBench(), Config{Broker: "mqtts://localhost:" + b.port, Authority: other.in("certificate.pem"),
		User: "dish", PasswordFile: b.in("password")})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan struct{})
	go func() { p.Run(ctx); close(done) }()
	within(t, "the certificate is refused", func() bool { return strings.Contains(p.Trouble(), "certificate") })
	cancel()
	<-done
}
