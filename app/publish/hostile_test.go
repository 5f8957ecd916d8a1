package publish

import (
	"bytes"
	"context"
	"errors"
	"io"
	"net"
	"net/http"
	"runtime"
	"strings"
	"testing"
	"time"
)

// conn is a connection from which a text is read in pieces of some bytes.
type conn struct {
	net.Conn
	from  io.Reader
	piece int
}

func (c conn) Read(p []byte) (int, error) { return c.from.Read(p[:min(len(p), c.piece)]) }

// Packets by MQTT 5, section 2.1.4: the remaining length, and its last possible value.
func TestPacketsAreMeasured(t *testing.T) {
	puback := []byte{0x40, 2, 0, 1}
	large := append([]byte{0x30, 0x80, 0x80, 1}, make([]byte, maxPacketBytes)...) // 16384 bytes, the most that is taken
	for _, row := range []struct {
		name string
		sent []byte
		fine bool
	}{
		{"acknowledgements", bytes.Repeat(puback, 3), true},
		{"an empty one", []byte{0xD0, 0, 0xD0, 0}, true},
		{"the largest", append(bytes.Clone(large), puback...), true},
		{"a byte more", []byte{0x30, 0x81, 0x80, 1}, false},
		{"256 MB", []byte{0x30, 0xFF, 0xFF, 0xFF, 0x7F}, false},
		{"a length without an end", []byte{0x30, 0x80, 0x80, 0x80, 0x80, 1}, false},
	} {
		for _, piece := range []int{1, 3, 1 << 20} {
			got, err := io.ReadAll(&limited{Conn: conn{from: bytes.NewReader(row.sent), piece: piece}})
			if row.fine != (err == nil) || row.fine && !bytes.Equal(got, row.sent) ||
				err != nil && !errors.Is(err, errPacket) {
				t.Errorf("%s in pieces of %d: %d bytes of %d, %v", row.name, piece, len(got), len(row.sent), err)
			}
		}
	}
}

// hostile is a broker that sends something to whoever connects, without end.
func hostile(t *testing.T, sends []byte) string {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			connection, err := listener.Accept()
			if err != nil {
				return
			}
			go func() {
				defer connection.Close()
				_, _ = connection.Write(sends)
				block := make([]byte, 64<<10)
				for {
					if _, err := connection.Write(block); err != nil {
						return
					}
				}
			}()
		}
	}()
	return listener.Addr().String()
}

// A broker that announces 256 MB gets no room for it, and the end waits for nobody.
func TestAHostileBroker(t *testing.T) {
	p, err := New(newBench(), Config{Broker: "mqtt://" + hostile(t, []byte{0x20, 0xFF, 0xFF, 0xFF, 0x7F})})
	if err != nil {
		t.Fatal(err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { p.Run(ctx); close(done) }()
	for deadline := time.Now().Add(20 * time.Second); !strings.Contains(p.Trouble(),
		errPacket.Error()); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("trouble %q", p.Trouble())
		}
	}
	runtime.ReadMemStats(&after)
	if took := after.TotalAlloc - before.TotalAlloc; took > 16<<20 {
		t.Errorf("it took %d MB", took>>20)
	}
	asked := time.Now()
	end()
	<-done
	if took := time.Since(asked); took > 5*time.Second {
		t.Errorf("the end took %v", took)
	}
}

// Whoever opens connections and says nothing takes no more than there is room for, and ends nobody's program.
func TestIdleConnections(t *testing.T) {
	probe, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	inner := newFew(probe)
	server := &http.Server{Handler: http.NotFoundHandler()}
	ended := make(chan error)
	go func() { ended <- server.Serve(inner) }()
	for range 3 * maxConnections {
		connection, err := net.Dial("tcp", probe.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		defer connection.Close()
	}
	for deadline := time.Now().Add(20 * time.Second); len(inner.room) < maxConnections; time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("%d connections are open, want %d", len(inner.room), maxConnections)
		}
	}
	server.Close()
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		t.Error(err)
	}
}
