package publish

import (
	"context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"sync/atomic"
	"time"

	"github.com/eclipse/paho.golang/autopaho"
	"github.com/eclipse/paho.golang/paho"

	"beamhelm/app/desk"
	"beamhelm/app/regular"
	"beamhelm/ending"
)

const (
	// publishEvery is how often what has changed is published.
	publishEvery = time.Second
	// sendWithin is how long the broker may take to confirm a message.
	sendWithin = 5 * time.Second
	// keepAliveSeconds is after how long a silent connection is tried, and at most twice that until it counts as lost.
	keepAliveSeconds = 10
	// endWithin is how long the end of a connection may take.
	endWithin = time.Second
	// maxSecretBytes is the most of a password file, or of a file of certificates.
	maxSecretBytes = 1 << 20
)

// feed keeps a connection to the broker and publishes until the context ends.
func (p *Publisher) feed(ctx context.Context) error {
	f := &feeder{publisher: p}
	config, err := f.clientConfig()
	if err != nil {
		return err
	}
	ctx, end := context.WithCancel(ctx)
	defer end()
	connection, err := autopaho.NewConnection(ctx, config)
	if err != nil {
		return err
	}
	f.connection = connection
	ticker := time.NewTicker(publishEvery)
	defer ticker.Stop()
	for {
		ending.Here("publishing to the broker")
		f.step(ctx)
		select {
		case <-ctx.Done():
			select {
			case <-connection.Done():
			case <-time.After(endWithin): // a broker that takes nothing any more keeps nobody
			}
			return nil
		case <-ticker.C:
		}
	}
}

// feeder is a connection to a broker, and what has been sent by it.
type feeder struct {
	publisher  *Publisher
	connection *autopaho.ConnectionManager
	up         atomic.Bool
	again      atomic.Bool // all has to be sent again: the broker may have lost it
	sent       map[string]string
	event      uint64
	buffer     []desk.Event
}

func (f *feeder) topic(rest string) string { return f.publisher.config.Topic + "/" + rest }

// The payloads of the topic online.
const online, offline = "yes", "no"

func (f *feeder) clientConfig() (autopaho.ClientConfig, error) {
	c := f.publisher.config
	broker, err := url.Parse(c.Broker)
	if err != nil {
		return autopaho.ClientConfig{}, errors.New("the broker's address can't be read")
	}
	encryption, password, err := c.secrets(broker.Hostname())
	if err != nil {
		return autopaho.ClientConfig{}, err
	}
	if broker.Port() == "" {
		broker.Host += map[string]string{"mqtt": ":1883", "mqtts": ":8883"}[broker.Scheme]
	}
	return autopaho.ClientConfig{
		ServerUrls: []*url.URL{broker}, TlsCfg: encryption, KeepAlive: keepAliveSeconds,
		CleanStartOnInitialConnection: true, ConnectTimeout: sendWithin,
		ReconnectBackoff:  autopaho.NewConstantBackoff(2 * time.Second),
		AttemptConnection: connect,
		ConnectUsername:   c.User, ConnectPassword: password,
		WillMessage: &paho.WillMessage{Topic: f.topic("online"), Payload: []byte(offline), Retain: true, QoS: 1},
		OnConnectionUp: func(*autopaho.ConnectionManager, *paho.Connack) {
			f.again.Store(true)
			f.up.Store(true)
			f.publisher.troubled(brokerWay, nil)
		},
		OnConnectionDown: func() bool {
			f.up.Store(false)
			f.publisher.troubled(brokerWay, errors.New("the connection was lost"))
			return true
		},
		OnConnectError: func(err error) { f.publisher.troubled(brokerWay, err) },
	}, nil
}

// secrets are what is needed to trust the broker and to be trusted by it.
func (c Config) secrets(host string) (*tls.Config, []byte, error) {
	encryption := &tls.Config{ServerName: host, MinVersion: tls.VersionTLS12}
	if c.Authority != "" {
		pem, err := regular.Read(c.Authority, maxSecretBytes)
		if err != nil {
			return nil, nil, err
		}
		encryption.RootCAs = x509.NewCertPool()
		if !encryption.RootCAs.AppendCertsFromPEM(pem) {
			return nil, nil, fmt.Errorf("%s holds no certificate", c.Authority)
		}
	}
	if c.PasswordFile == "" {
		return encryption, nil, nil
	}
	password, err := regular.Read(c.PasswordFile, maxSecretBytes)
	if err != nil {
		return nil, nil, err
	}
	line, _, _ := strings.Cut(string(password), "\n")
	return encryption, []byte(strings.TrimSuffix(line, "\r")), nil
}

// step publishes what is new. What can't be sent now is sent when it can be:
// events all, in their order, everything else as it is then.
func (f *feeder) step(ctx context.Context) {
	if !f.up.Load() {
		return
	}
	if f.again.Swap(false) {
		f.sent = map[string]string{}
	}
	d := f.publisher.desk
	s := d.Status()
	all := append([]message{{topic: "online", payload: online, kept: true, sure: true}, statusMessage(s),
		alarmsMessage(s)}, readingMessages(s)...)
	for _, m := range all {
		if was, before := f.sent[m.topic]; before && was == m.payload {
			continue
		}
		if !f.send(ctx, m) {
			return
		}
		f.sent[m.topic] = m.payload
	}
	f.buffer = d.EventsSince(f.event, f.buffer[:0])
	for _, e := range f.buffer {
		if !f.send(ctx, eventMessage(e)) {
			return
		}
		f.event = e.Number
	}
}

func (f *feeder) send(ctx context.Context, m message) bool {
	ctx, end := context.WithTimeout(ctx, sendWithin)
	defer end()
	quality := byte(0)
	if m.sure {
		quality = 1
	}
	_, err := f.connection.Publish(ctx, &paho.Publish{Topic: f.topic(m.topic), Payload: []byte(m.payload),
		Retain: m.kept, QoS: quality})
	if err != nil && ctx.Err() == nil && f.up.Load() {
		f.publisher.troubled(brokerWay, err)
	}
	return err == nil
}
