package logfile

import (
	"fmt"
	"log/slog"
	"regexp"
	"strings"
	"time"
)

// timeForm is UTC to the millisecond.
const timeForm = "2006-01-02T15:04:05.000Z"

// maxText is the most of one value, bytes: the stack of a panic fits.
const maxText = 16 << 10

// Logger returns a logger into the log. Its lines are slog's text form: what
// can't be printed, a line's end among it, is quoted and escaped. What stands in
// an address where names, passwords and tokens stand is left out.
func (f *File) Logger() *slog.Logger {
	return slog.New(slog.NewTextHandler(f, &slog.HandlerOptions{ReplaceAttr: plain}))
}

// plain is an attribute as it may be written.
func plain(_ []string, a slog.Attr) slog.Attr {
	switch a.Value.Kind() {
	case slog.KindTime:
		a.Value = slog.StringValue(a.Value.Time().UTC().Format(timeForm))
	case slog.KindString:
		a.Value = slog.StringValue(shareable(a.Value.String()))
	case slog.KindAny:
		if _, isLevel := a.Value.Any().(slog.Level); !isLevel {
			a.Value = slog.StringValue(shareable(fmt.Sprint(a.Value.Any())))
		}
	}
	return a
}

var (
	userInAddress  = regexp.MustCompile(`://[^\n"]*@`)
	queryOfAddress = regexp.MustCompile(`(://[^\s"?]*)\?[^\s"]*`)
)

// shareable is text without the parts of addresses that may be secret, and not too long.
func shareable(text string) string {
	text = userInAddress.ReplaceAllString(text, "://(skipped)@")
	text = queryOfAddress.ReplaceAllString(text, "$1?(skipped)")
	if len(text) > maxText {
		text = strings.ToValidUTF8(text[:maxText], "") + "..."
	}
	return text
}

// Sparing logs what goes on failing: at once when it changes, but for each key
// no more often than once in an interval. It belongs to one goroutine.
type Sparing struct {
	log   *slog.Logger
	every time.Duration
	keys  map[string]*said
}

type said struct {
	words   string
	at      time.Time
	skipped int
}

// NewSparing returns one that logs through log.
func NewSparing(log *slog.Logger, every time.Duration) *Sparing {
	return &Sparing{log: log, every: every, keys: map[string]*said{}}
}

// Say tells how a thing is now; empty words say that it is well.
func (s *Sparing) Say(now time.Time, key, words string) {
	last := s.keys[key]
	if last == nil {
		last = &said{}
		s.keys[key] = last
	}
	if last.words == words {
		return
	}
	if !last.at.IsZero() && now.Sub(last.at) < s.every {
		last.skipped++
		return
	}
	if words == "" {
		s.log.Info("well again", "what", key, "changes_not_logged", last.skipped)
	} else {
		s.log.Warn("trouble", "what", key, "words", words, "changes_not_logged", last.skipped)
	}
	*last = said{words: words, at: now}
}
