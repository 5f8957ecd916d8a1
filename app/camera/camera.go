// Package camera fetches pictures from the operator's own camera: single JPEG
// pictures, or a stream of them (multipart/x-mixed-replace, as many network
// cameras send it; common practice, no source). What it shows is for the eyes:
// nothing of the dish depends on it. Memory and time are bounded, and neither
// address nor password is ever put into words.
package camera

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"image"
	"io"
	"mime"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"os"
	"strings"
	"sync/atomic"
	"time"

	"beamhelm/app/regular"
	"beamhelm/app/settings"
	"beamhelm/ending"
)

// The bounds of what a camera may cost.
const (
	maxBytes    = 8 << 20          // of a picture as it comes
	maxPixels   = 16 << 20         // of a picture as it is shown
	maxScans    = 24               // of a progressive picture, each of which goes over all pixels
	maxSecret   = 4 << 10          // of a password file
	answers     = 10 * time.Second // for an answer, and between two pictures of a stream
	waits       = 5 * time.Second  // before it is tried again
	fastest     = 100 * time.Millisecond
	stalledOver = 3 // times the usual time between two pictures, and two seconds more
)

// Picture is one picture.
type Picture struct {
	Image image.Image
	At    time.Time // when it had come
	// Every is the time between this one and the next that is to be expected.
	Every time.Duration
}

// Stalled reports that the next picture should long have come.
func (p *Picture) Stalled(now time.Time) bool {
	return p == nil || now.Sub(p.At) > stalledOver*p.Every+2*time.Second
}

// Camera fetches pictures.
type Camera struct {
	address        string
	every          time.Duration
	user, password string
	passwordFile   string // whose first line is the password; read when it is needed
	client         *http.Client

	newest  atomic.Pointer[Picture]
	trouble atomic.Pointer[string]
}

// FromSettings is the camera of the settings; nil where there is none.
func FromSettings(s settings.Camera) (*Camera, error) {
	if s.URL == "" {
		return nil, nil
	}
	u, err := url.Parse(s.URL)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		// not repeated: a password may stand in it
		return nil, errors.New("camera.url must be an address that begins with http:// or https://")
	}
	c := &Camera{every: time.Duration(s.IntervalS * float64(time.Second)), user: s.User}
	if u.User != nil {
		c.user = u.User.Username()
		c.password, _ = u.User.Password()
		u.User = nil
	}
	c.address = u.String()
	c.passwordFile = s.PasswordFile
	transport := http.DefaultTransport.(*http.Transport).Clone()
	transport.ResponseHeaderTimeout = answers
	transport.MaxResponseHeaderBytes = 64 << 10
	c.client = &http.Client{Transport: transport, CheckRedirect: c.follow}
	c.say("no picture yet")
	return c, nil
}

// Newest is the newest picture, nil before the first.
func (c *Camera) Newest() *Picture { return c.newest.Load() }

// Trouble says why no picture comes; empty where they do.
func (c *Camera) Trouble() string { return *c.trouble.Load() }

func (c *Camera) say(words string) { c.trouble.Store(&words) }

// Run fetches pictures until the context ends.
func (c *Camera) Run(ctx context.Context) {
	defer c.client.CloseIdleConnections()
	for ctx.Err() == nil {
		ending.Here("camera")
		pause := c.every
		if err := c.fetch(ctx); err != nil && ctx.Err() == nil {
			c.say(plain(err))
			pause = max(pause, waits)
		}
		select {
		case <-ctx.Done():
		case <-time.After(max(pause, fastest)):
		}
	}
}

// plain is an error without the address that it came from.
func plain(err error) string {
	if u, ok := errors.AsType[*url.Error](err); ok {
		err = u.Err
	}
	if reached, ok := errors.AsType[*net.OpError](err); ok {
		err = reached.Err // without the address
	}
	if unknown, ok := errors.AsType[*net.DNSError](err); ok {
		err = errors.New(unknown.Err)
	}
	if errors.Is(err, context.DeadlineExceeded) || errors.Is(err, context.Canceled) || os.IsTimeout(err) {
		return "the camera does not answer in time"
	}
	return "the camera: " + err.Error()
}

// fetch gets one picture, or takes those of a stream until it ends.
func (c *Camera) fetch(ctx context.Context) error {
	ctx, end := context.WithCancel(ctx)
	defer end()
	// Whatever takes too long ends by this; each picture gives it more time.
	limit := time.AfterFunc(answers, end)
	defer limit.Stop()
	request, err := http.NewRequestWithContext(ctx, http.MethodGet, c.address, nil)
	if err != nil {
		return errors.New("its address can't be used")
	}
	if err := c.readPassword(); err != nil {
		return err
	}
	if c.user != "" {
		request.SetBasicAuth(c.user, c.password)
	}
	answer, err := c.client.Do(request)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		return fmt.Errorf("it answers %s", answer.Status)
	}
	kind, options, err := mime.ParseMediaType(answer.Header.Get("Content-Type"))
	if err == nil && kind == "multipart/x-mixed-replace" {
		return c.stream(ctx, answer.Body, options["boundary"], func() { limit.Reset(answers) })
	}
	return c.take(ctx, answer.Body, c.every)
}

// follow goes where the camera sends, a few times, but never tells another
// place the address that it came from: a token may stand in it.
func (c *Camera) follow(next *http.Request, before []*http.Request) error {
	if len(before) > 3 {
		return errors.New("it sends from place to place")
	}
	next.Header.Del("Referer")
	return nil
}

// readPassword reads the password file again, which may have been mended meanwhile.
func (c *Camera) readPassword() error {
	if c.passwordFile == "" {
		return nil
	}
	text, err := regular.Read(c.passwordFile, maxSecret)
	if err != nil {
		return fmt.Errorf("camera.password_file: %w", err)
	}
	first, _, _ := strings.Cut(string(text), "\n")
	c.password = strings.TrimRight(first, "\r")
	return nil
}

// stream takes the pictures of a stream; came is told of each.
func (c *Camera) stream(ctx context.Context, body io.Reader, boundary string, came func()) error {
	// Some cameras send the boundary with the dashes that separate parts.
	boundary = strings.TrimPrefix(boundary, "--")
	if boundary == "" {
		return errors.New("a stream without a boundary")
	}
	parts := multipart.NewReader(bufio.NewReader(body), boundary)
	before := time.Time{}
	for {
		part, err := parts.NextRawPart()
		if err != nil {
			return ended(err)
		}
		now := time.Now()
		if now.Sub(before) < fastest {
			_, err = io.Copy(io.Discard, io.LimitReader(part, maxBytes)) // faster than anybody looks
		} else {
			every := time.Second
			if !before.IsZero() {
				every = now.Sub(before)
			}
			before = now
			err = c.take(ctx, part, every)
		}
		if err != nil {
			return ended(err)
		}
		came()
	}
}

// ended says in words that a stream has ended.
func ended(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("the stream has ended")
	}
	return err
}
