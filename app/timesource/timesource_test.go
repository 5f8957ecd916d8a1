package timesource

import (
	"context"
	"encoding/binary"
	"net"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"
)

// serve answers as an NTP server whose clock is ahead by some time: the 48 bytes of RFC 5905, section 7.3.
func serve(t *testing.T, ahead time.Duration, stratum byte) string {
	t.Helper()
	socket, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	done := make(chan struct{})
	t.Cleanup(func() { socket.Close(); <-done })
	go func() {
		defer close(done)
		asked := make([]byte, 512)
		for {
			n, from, err := socket.ReadFrom(asked)
			if err != nil {
				return
			}
			if n < 48 {
				continue
			}
			answer := make([]byte, 48)
			answer[0] = 4<<3 | 4 // version 4, server
			answer[1], answer[2] = stratum, 6
			answer[3] = 0xec // precision, 2^-20 s
			copy(answer[12:], "TEST")
			now := time.Now().Add(ahead)
			stamp(answer[16:], now.Add(-time.Minute))
			copy(answer[24:32], asked[40:48])
			stamp(answer[32:], now)
			stamp(answer[40:], now)
			if _, err := socket.WriteTo(answer, from); err != nil {
				return
			}
		}
	}()
	return socket.LocalAddr().String()
}

// stamp writes a time as seconds since 1900 with 32 bits of fraction.
func stamp(to []byte, at time.Time) {
	const since1900 = 2208988800 // to 1970, RFC 5905
	binary.BigEndian.PutUint32(to, uint32(at.Unix()+since1900))
	binary.BigEndian.PutUint32(to[4:], uint32(float64(at.Nanosecond())/1e9*(1<<32)))
}

func TestOffset(t *testing.T) {
	for _, ahead := range []time.Duration{0, 1500 * time.Millisecond, -3 * time.Second} {
		s := New(serve(t, ahead, 2), time.Hour)
		if _, known := s.Offset(); known {
			t.Error("known before it was asked")
		}
		if !s.ask(t.Context()) {
			t.Fatal(s.Trouble())
		}
		got, known := s.Offset()
		if !known || (got-ahead).Abs() > 200*time.Millisecond {
			t.Errorf("offset %v, known %v, want %v", got, known, ahead)
		}
	}
}

// A server that says it has no time itself is not believed, nor is a silent one.
func TestNoTime(t *testing.T) {
	s := New(serve(t, 0, 16), time.Hour)
	if s.ask(t.Context()) {
		t.Error("an unsynchronised server is believed")
	}
	if _, known := s.Offset(); known || !strings.HasPrefix(s.Trouble(), "time source 127.0.0.1:") {
		t.Errorf("known %v, trouble %q", known, s.Trouble())
	}
	if strings.Contains(s.Trouble(), "\n") {
		t.Errorf("more than a line: %q", s.Trouble())
	}
}

func TestRunEnds(t *testing.T) {
	server := serve(t, 0, 2)
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	s := New(server, time.Hour)
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { s.Run(ctx); close(done) }()
	for range 200 {
		if _, known := s.Offset(); known {
			break
		}
		time.Sleep(5 * time.Millisecond)
	}
	if _, known := s.Offset(); !known {
		t.Error("it did not ask by itself")
	}
	end()
	<-done
}

// Neither a server that says nothing nor a name that nobody knows is waited for when the program ends.
func TestTheEndWaitsForNoAnswer(t *testing.T) {
	silent, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer silent.Close()
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() {
		New(silent.LocalAddr().String(), time.Hour).Run(ctx)
		close(done)
	}()
	if _, _, err := silent.ReadFrom(make([]byte, 64)); err != nil {
		t.Fatal(err)
	}
	at := time.Now()
	end()
	<-done
	if took := time.Since(at); took > patience/2 {
		t.Errorf("the end took %v", took)
	}
}
