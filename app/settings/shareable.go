package settings

import (
	"net/url"
	"strings"
)

// Shareable is the settings without what lets somebody in: users, password
// files, and addresses that may hold either.
func (s Settings) Shareable() Settings {
	s.Publish.User, s.Publish.PasswordFile = "", ""
	s.Camera.User, s.Camera.PasswordFile = "", ""
	if u, err := url.Parse(s.Camera.URL); err != nil || u.User != nil || u.RawQuery != "" ||
		strings.Contains(s.Camera.URL, "@") {
		s.Camera.URL = "(skipped)"
	}
	if u, err := url.Parse(s.Publish.Broker); err != nil || u.User != nil || u.RawQuery != "" || u.Opaque != "" ||
		strings.Contains(s.Publish.Broker, "@") {
		s.Publish.Broker = "(skipped)"
	}
	return s
}
