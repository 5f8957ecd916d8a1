//go:build window || planted

package endtoend

import (
	"io"
	"os"
	"sync/atomic"
	"testing"
	"time"

	"github.com/creack/pty"
	"go.bug.st/serial"
)

// relay stands in the serial line between the panel and the enclosure, passes
// every byte on, and tells when the panel asks for readings.
type relay struct {
	port string // what the panel opens
	// readings receives the moment at which a request for readings has passed.
	readings chan time.Time
	// hold delays the reply to a readings request, so that it takes as long as
	// on a wire: a pty is faster than any baud rate.
	hold    time.Duration
	pending atomic.Bool
	near    *os.File
	far     io.Closer
	// request and reply, where set, are what becomes of the bytes of one write on
	// their way: pieces that are passed on one after another, none or several.
	request, reply atomic.Pointer[tampering]
}

// tampering is what a bad cable makes of the bytes of a frame.
type tampering func([]byte) [][]byte

// tamper sets what becomes of requests and replies from now on; nil lets them pass as they are.
func (r *relay) tamper(request, reply tampering) {
	r.request.Store(&request)
	r.reply.Store(&reply)
}

// pass writes what becomes of bytes.
func pass(to io.Writer, bytes []byte, by *atomic.Pointer[tampering]) error {
	pieces := [][]byte{bytes}
	if tamper := by.Load(); tamper != nil && *tamper != nil {
		pieces = (*tamper)(bytes)
	}
	for _, piece := range pieces {
		if _, err := to.Write(piece); err != nil {
			return err
		}
	}
	return nil
}

// unplug takes the line away from the panel, as a pulled adapter does.
func (r *relay) unplug() { r.near.Close() }

// end gives the enclosure's end of the line back as well.
func (r *relay) end() {
	r.near.Close()
	r.far.Close()
}

// openRelay puts a relay before an enclosure's link.
func openRelay(t *testing.T, link string, hold time.Duration) *relay {
	t.Helper()
	far, err := serial.Open(link, &serial.Mode{BaudRate: 19200})
	if err != nil {
		t.Fatalf("opening the enclosure's line: %v", err)
	}
	near, panelSide, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	r := &relay{port: panelSide.Name(), readings: make(chan time.Time, 1), hold: hold, near: near, far: far}
	go r.requests(near, far)
	go r.replies(far, near)
	t.Cleanup(func() {
		far.Close()
		near.Close()
		panelSide.Close() // held open until here, so that the line outlives the panel
	})
	return r
}

// requests passes bytes to the enclosure. The panel writes a request at once,
// so that a read begins with one: unit, function 23, first address to read.
func (r *relay) requests(near *os.File, far io.Writer) {
	buffer := make([]byte, 512)
	for {
		n, err := near.Read(buffer)
		if err != nil {
			return
		}
		request := buffer[:n]
		if n >= 4 && request[1] == 23 && request[2] == 0 && (request[3] == 0x3F || request[3] == 0x4C) {
			r.pending.Store(true)
			select {
			case r.readings <- time.Now():
			default:
			}
		}
		if pass(far, request, &r.request) != nil {
			return
		}
	}
}

// replies passes bytes to the panel.
func (r *relay) replies(far io.Reader, near *os.File) {
	buffer := make([]byte, 512)
	for {
		n, err := far.Read(buffer)
		if err != nil {
			return
		}
		if r.pending.CompareAndSwap(true, false) {
			time.Sleep(r.hold)
		}
		if pass(near, buffer[:n], &r.reply) != nil {
			return
		}
	}
}
