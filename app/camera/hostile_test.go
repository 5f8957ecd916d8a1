package camera

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/settings"
)

// manyScans is a progressive picture of 4096 by 4096 pixels (ITU-T T.81) in
// which each scan says in a few bytes that nothing changes.
func manyScans(n int) []byte {
	var b bytes.Buffer
	b.Write([]byte{0xFF, 0xD8})
	b.Write(append([]byte{0xFF, 0xDB, 0, 67, 0}, bytes.Repeat([]byte{1}, 64)...))
	b.Write([]byte{0xFF, 0xC2, 0, 11, 8, 0x10, 0, 0x10, 0, 1, 1, 0x11, 0}) // SOF2, one component
	// Tables of one code each: difference 0, and a run of 32767 blocks without an end of their own.
	b.Write([]byte{0xFF, 0xC4, 0, 20, 0x00, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0})
	b.Write([]byte{0xFF, 0xC4, 0, 20, 0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xE0})
	b.Write([]byte{0xFF, 0xDA, 0, 8, 1, 1, 0, 0, 0, 0})
	b.Write(make([]byte, 512*512/8))
	for range n {
		b.Write([]byte{0xFF, 0xDA, 0, 8, 1, 1, 0, 1, 63, 0})
		b.Write(make([]byte, 32))
	}
	b.Write([]byte{0xFF, 0xD9})
	return b.Bytes()
}

// A small file that means hours of work is refused before it is decoded, and
// the end of the program is waited for by no picture.
func TestAPictureThatIsTooMuchWork(t *testing.T) {
	c, err := FromSettings(settings.Camera{URL: "http://x"})
	if err != nil {
		t.Fatal(err)
	}
	if err := c.take(t.Context(), bytes.NewReader(manyScans(5000)), time.Second); err == nil ||
		!strings.Contains(err.Error(), "too much work") {
		t.Errorf("%v", err)
	}
	ctx, end := context.WithCancel(t.Context())
	end()
	if err := c.take(ctx, bytes.NewReader(picture(3)), time.Second); !errors.Is(err, context.Canceled) {
		t.Errorf("after the end: %v", err)
	}
}

// A camera that sends on learns nothing of the address that led there, and is not sent on without end.
func TestSentOn(t *testing.T) {
	var told []string
	elsewhere := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		told = append(told, r.Header.Get("Referer"))
		http.Redirect(w, r, "/again", http.StatusFound)
	}))
	defer elsewhere.Close()
	first := httptest.NewServer(http.RedirectHandler(elsewhere.URL, http.StatusFound))
	defer first.Close()
	c, err := FromSettings(settings.Camera{URL: first.URL + "/?token=secret"})
	if err != nil {
		t.Fatal(err)
	}
	err = c.fetch(t.Context())
	if err == nil || !strings.Contains(plain(err), "from place to place") {
		t.Errorf("%v", err)
	}
	if len(told) == 0 || strings.Join(told, "") != "" {
		t.Errorf("the other place was told %q", told)
	}
	c.client.CloseIdleConnections()
}

// A password file that isn't there is told, and read when it is.
func TestAMissingPasswordFile(t *testing.T) {
	c, err := FromSettings(settings.Camera{URL: "http://127.0.0.1:1", User: "dish",
		PasswordFile: filepath.Join(t.TempDir(), "none")})
	if err != nil {
		t.Fatal(err)
	}
	if err := c.fetch(t.Context()); err == nil || !strings.Contains(err.Error(), "password_file") {
		t.Error(err)
	}
}
