// Package publish shows other programs what the dish does: metrics over HTTP
// as OpenMetrics, and status, readings, events and alarms to an MQTT broker.
// Both are off unless they are set. Nothing comes in that way: the HTTP server
// answers GET alone, and nothing is subscribed to at the broker. README.md lists names, topics and units.
package publish

import (
	"context"
	"fmt"
	"net"
	"net/netip"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"time"

	"beamhelm/app/desk"
	"beamhelm/ending"
)

// Config says what is published, and where. Its zero publishes nothing.
type Config struct {
	// MetricsPort is where metrics are served by HTTP; 0: nowhere.
	MetricsPort int
	// MetricsHost is the address of this machine at which they can; empty: its
	// loopback, so that only programs on this machine reach them.
	MetricsHost string

	// Broker is where to publish by MQTT 5, mqtt://HOST[:PORT] or, by TLS, mqtts://HOST[:PORT]; empty: nowhere.
	Broker string
	// Authority is a PEM file with the certificate by which the broker's is checked; empty: those of the system.
	Authority string
	// User and PasswordFile, whose first line is the password, are what the broker asks for; empty: nothing.
	User, PasswordFile string
	// Topic is what all topics begin with; empty: beamhelm.
	Topic string

	// Version is that of the program.
	Version string
}

// Validate says which field is wrong and what is allowed.
func (c Config) Validate() error {
	if c.MetricsPort < 0 || c.MetricsPort > 65535 {
		return fmt.Errorf("publish: metrics port %d: 0 (off) to 65535 is allowed", c.MetricsPort)
	}
	if c.MetricsHost != "" {
		if _, err := netip.ParseAddr(c.MetricsHost); err != nil {
			return fmt.Errorf("publish: metrics host %q: an IP address of this machine is needed", c.MetricsHost)
		}
	}
	if c.Topic != "" && (strings.ContainsAny(c.Topic, "+#\x00 ") || strings.HasPrefix(c.Topic, "/") ||
		strings.HasSuffix(c.Topic, "/") || strings.HasPrefix(c.Topic, "$")) {
		return fmt.Errorf("publish: topic %q: no + # or space, no $ at its beginning, no / at either end", c.Topic)
	}
	if c.Broker == "" {
		return nil
	}
	return c.validateBroker()
}

func (c Config) validateBroker() error {
	broker, err := url.Parse(c.Broker)
	switch {
	case err != nil:
		// The error would repeat the address, and with it a password put there.
		return fmt.Errorf("publish: broker: mqtt://HOST:PORT or mqtts://HOST:PORT is needed")
	case broker.User != nil:
		return fmt.Errorf("publish: broker: name and password belong into user and password file, not into the address")
	case broker.Scheme != "mqtt" && broker.Scheme != "mqtts", broker.Hostname() == "",
		strings.Trim(broker.Path, "/") != "", broker.RawQuery != "":
		return fmt.Errorf("publish: broker %q: mqtt://HOST:PORT or mqtts://HOST:PORT is needed", c.Broker)
	case c.PasswordFile != "" && broker.Scheme == "mqtt" && !isLoopback(broker.Hostname()):
		return fmt.Errorf("publish: broker %q: the password would cross the network for all to read; use mqtts://",
			c.Broker)
	case c.PasswordFile != "" && c.User == "":
		return fmt.Errorf("publish: a password needs a user")
	}
	for _, file := range []string{c.PasswordFile, c.Authority} {
		if file != "" && !filepath.IsAbs(file) {
			return fmt.Errorf("publish: file %q: a whole path is needed", file)
		}
	}
	return nil
}

func isLoopback(host string) bool {
	address, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && address.IsLoopback()
}

// address is where the HTTP server listens.
func (c Config) address() string {
	host := c.MetricsHost
	if host == "" {
		host = "127.0.0.1"
	}
	return net.JoinHostPort(host, strconv.Itoa(c.MetricsPort))
}

// Desk is what is published.
type Desk interface {
	Status() *desk.Status
	EventsSince(number uint64, into []desk.Event) []desk.Event
}

// Publisher publishes a desk.
type Publisher struct {
	config Config
	desk   Desk

	mu      sync.Mutex
	trouble map[string]string // by the way of publishing
}

// New returns a publisher. It opens nothing: Run does.
func New(d Desk, c Config) (*Publisher, error) {
	if err := c.Validate(); err != nil {
		return nil, err
	}
	if c.Topic == "" {
		c.Topic = "beamhelm"
	}
	return &Publisher{config: c, desk: d, trouble: map[string]string{}}, nil
}

// Trouble says in one line why something isn't published; empty when all is well.
func (p *Publisher) Trouble() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, way := range []string{metricsWay, brokerWay} {
		if words := p.trouble[way]; words != "" {
			return way + ": " + words
		}
	}
	return ""
}

// The ways of publishing, as Trouble names them.
const (
	metricsWay = "publishing metrics"
	brokerWay  = "publishing to the broker"
)

func (p *Publisher) troubled(way string, err error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.trouble[way] = ""; err != nil {
		p.trouble[way] = strings.ReplaceAll(err.Error(), "\n", "; ")
	}
}

// retryEvery is how long to wait after something failed.
const retryEvery = 5 * time.Second

// Run publishes what is set until the context ends. What fails is tried again
// and told by Trouble; nothing of the dish waits for it.
func (p *Publisher) Run(ctx context.Context) {
	ending.Here("publishing")
	var ways ending.Group
	if p.config.MetricsPort != 0 {
		ways.Go("publishing figures", func() { p.again(ctx, metricsWay, p.serve) })
	}
	if p.config.Broker != "" {
		ways.Go("publishing to the broker", func() { p.again(ctx, brokerWay, p.feed) })
	}
	ways.Wait()
}

// again does something until the context ends, after each failure once more.
func (p *Publisher) again(ctx context.Context, way string, do func(context.Context) error) {
	for ctx.Err() == nil {
		if err := do(ctx); ctx.Err() == nil {
			p.troubled(way, err)
		}
		select {
		case <-ctx.Done():
		case <-time.After(retryEvery):
		}
	}
}
