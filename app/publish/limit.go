package publish

import (
	"context"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/url"

	"github.com/eclipse/paho.golang/autopaho"
	"github.com/eclipse/paho.golang/packets"
)

// maxPacketBytes is the largest packet that is taken from a broker. Nothing is
// subscribed to: what it has to say are acknowledgements.
const maxPacketBytes = 16 << 10

var errPacket = errors.New("the broker sends what no broker has to: the connection is ended")

// connect connects to a broker. What comes from there is measured before it is taken in.
func connect(ctx context.Context, c autopaho.ClientConfig, broker *url.URL) (net.Conn, error) {
	ctx, end := context.WithTimeout(ctx, sendWithin)
	defer end()
	var dialer net.Dialer
	connection, err := dialer.DialContext(ctx, "tcp", broker.Host)
	if err != nil {
		return nil, err
	}
	if broker.Scheme == "mqtts" {
		encrypted := tls.Client(connection, c.TlsCfg)
		if err := encrypted.HandshakeContext(ctx); err != nil {
			connection.Close()
			return nil, err
		}
		connection = encrypted
	}
	return packets.NewThreadSafeConn(&limited{Conn: connection}), nil
}

// limited is a connection that fails at a packet that is too large, before
// anybody makes room for it. It follows the fixed headers of MQTT 5 (section
// 2.1: a byte, then the remaining length of one to four bytes of seven bits).
type limited struct {
	net.Conn
	in    part
	left  int // bytes of the packet still to come
	shift int
}

// part is what the next byte belongs to.
type part uint8

const (
	ofType part = iota
	ofLength
	ofRest
)

// Read implements net.Conn.
func (l *limited) Read(into []byte) (int, error) {
	n, err := l.Conn.Read(into)
	for at := 0; at < n; {
		switch l.in {
		case ofType:
			l.in, l.left, l.shift = ofLength, 0, 0
			at++
		case ofLength:
			l.left |= int(into[at]&0x7F) << l.shift
			l.shift += 7
			if into[at]&0x80 == 0 {
				l.in = ofRest
			}
			if l.left > maxPacketBytes || l.shift > 28 || l.shift == 28 && l.in == ofLength {
				return 0, fmt.Errorf("%w: a packet of more than %d bytes", errPacket, maxPacketBytes)
			}
			at++
		case ofRest:
			taken := min(l.left, n-at)
			l.left, at = l.left-taken, at+taken
		}
		if l.in == ofRest && l.left == 0 {
			l.in = ofType
		}
	}
	return n, err
}
