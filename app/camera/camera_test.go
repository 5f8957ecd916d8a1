package camera

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"go.uber.org/goleak"

	"beamhelm/app/settings"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

// picture is a JPEG of one grey.
func picture(grey uint8) []byte {
	m := image.NewGray(image.Rect(0, 0, 64, 48))
	for i := range m.Pix {
		m.Pix[i] = grey
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, m, nil); err != nil {
		panic(err)
	}
	return out.Bytes()
}

func grey(p *Picture) int {
	if p == nil {
		return -1
	}
	return int(color.GrayModel.Convert(p.Image.At(5, 5)).(color.Gray).Y)
}

// shows runs a camera that answers so, until what is wanted holds.
func shows(t *testing.T, answer http.HandlerFunc, set func(*settings.Camera), want func(*Camera) bool) *Camera {
	t.Helper()
	server := httptest.NewServer(answer)
	s := settings.Camera{URL: server.URL, IntervalS: 0.2}
	if set != nil {
		set(&s)
	}
	c, err := FromSettings(s)
	if err != nil {
		t.Fatal(err)
	}
	ctx, end := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { c.Run(ctx); close(done) }()
	t.Cleanup(func() { end(); <-done; server.Close() })
	deadline := time.Now().Add(20 * time.Second)
	for !want(c) {
		if time.Now().After(deadline) {
			t.Fatalf("it does not come: %q, grey %d", c.Trouble(), grey(c.Newest()))
		}
		time.Sleep(10 * time.Millisecond)
	}
	return c
}

func TestSinglePictures(t *testing.T) {
	n := 0
	file := filepath.Join(t.TempDir(), "password")
	if err := os.WriteFile(file, []byte("moon\r\nnot this\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	shows(t, func(w http.ResponseWriter, r *http.Request) {
		if user, password, _ := r.BasicAuth(); user != "dish" || password != "moon" {
			w.WriteHeader(http.StatusUnauthorized)
			return
		}
		n++
		_, _ = w.Write(picture(uint8(100 + 50*min(n, 2))))
	}, func(s *settings.Camera) { s.User, s.PasswordFile = "dish", file },
		func(c *Camera) bool { return grey(c.Newest()) == 200 && c.Trouble() == "" })
}

// stream writes parts as RFC 2046 separates them.
func stream(w http.ResponseWriter, boundary string, pictures ...[]byte) {
	w.Header().Set("Content-Type", "multipart/x-mixed-replace; boundary="+boundary)
	for _, p := range pictures {
		fmt.Fprintf(w, "--%s\r\nContent-Type: image/jpeg\r\nContent-Length: %d\r\n\r\n",
			strings.TrimPrefix(boundary, "--"), len(p))
		_, _ = w.Write(p)
		_, _ = io.WriteString(w, "\r\n")
		w.(http.Flusher).Flush()
		time.Sleep(150 * time.Millisecond)
	}
}

func TestStreams(t *testing.T) {
	for _, boundary := range []string{"next", "--next"} {
		c := shows(t, func(w http.ResponseWriter, r *http.Request) {
			stream(w, boundary, picture(50), picture(120), picture(220))
			<-r.Context().Done() // it stalls
		}, nil, func(c *Camera) bool { p := c.Newest(); return p != nil && grey(p) > 115 })
		p := c.Newest()
		if p.Stalled(p.At.Add(time.Second)) || !p.Stalled(p.At.Add(time.Minute)) {
			t.Errorf("stalled is wrong: %v between two", p.Every)
		}
	}
}

func TestTroubleIsToldWithoutTheAddress(t *testing.T) {
	big := bytes.Repeat([]byte{0xFF}, maxBytes+10)
	for name, c := range map[string]struct {
		answer http.HandlerFunc
		says   string
	}{
		"not allowed": {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusUnauthorized) }, "401"},
		"no picture":  {func(w http.ResponseWriter, _ *http.Request) { _, _ = io.WriteString(w, "<html>") }, "no JPEG"},
		"damaged": {func(w http.ResponseWriter, _ *http.Request) { p := picture(9); _, _ = w.Write(p[:len(p)-12]) },
			"damaged"},
		"too large":   {func(w http.ResponseWriter, _ *http.Request) { _, _ = w.Write(big) }, "larger than 8 MB"},
		"stream ends": {func(w http.ResponseWriter, _ *http.Request) { stream(w, "b", picture(1)) }, "ended"},
		"cut off": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "100000")
			_, _ = w.Write(picture(1))
		}, "unexpected EOF"},
	} {
		t.Run(name, func(t *testing.T) {
			got := shows(t, c.answer, func(s *settings.Camera) {
				s.URL = strings.Replace(s.URL, "http://", "http://dish:secret@", 1) + "/?token=secret"
			}, func(k *Camera) bool { return strings.Contains(k.Trouble(), c.says) }).Trouble()
			if strings.Contains(got, "secret") || strings.Contains(got, "127.0.0.1") {
				t.Errorf("it tells too much: %q", got)
			}
		})
	}
}

// A camera that isn't there is told without its address, and so is one whose address is none.
func TestNoCamera(t *testing.T) {
	server := httptest.NewServer(nil)
	server.Close()
	c, err := FromSettings(settings.Camera{URL: "http://dish:secret@" + strings.TrimPrefix(server.URL, "http://") +
		"/?token=secret"})
	if err != nil {
		t.Fatal(err)
	}
	if err := c.fetch(t.Context()); err == nil || plain(err) != "the camera: connect: connection refused" {
		t.Errorf("%v", plain(err))
	}
	for _, wrong := range []string{"dish.local", "ftp://x", "http://", "http://dish:sec ret@x"} {
		if _, err := FromSettings(settings.Camera{URL: wrong}); err == nil || strings.Contains(err.Error(), "sec") {
			t.Errorf("%q: %v", wrong, err)
		}
	}
	if c, err := FromSettings(settings.Camera{}); c != nil || err != nil {
		t.Error(c, err)
	}
}

func FuzzTake(f *testing.F) {
	f.Add(picture(3))
	f.Fuzz(func(t *testing.T, raw []byte) {
		c, err := FromSettings(settings.Camera{URL: "http://x"})
		if err != nil {
			t.Fatal(err)
		}
		if err := c.take(t.Context(), bytes.NewReader(raw), time.Second); (err == nil) != (c.Newest() != nil) {
			t.Errorf("%v, %v", err, c.Newest())
		}
	})
}
