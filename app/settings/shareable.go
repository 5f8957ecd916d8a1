package settings

import "net/url"

// Shareable is the settings without what lets somebody in: users, password
// files, and addresses that may hold either.
func (s Settings) Shareable() Settings {
	s.Publish.User, s.Publish.PasswordFile = "", ""
	s.Camera.User, s.Camera.PasswordFile = "", ""
	if u, err := url.Parse(s.Camera.URL); err != nil || u.User != nil || u.RawQuery != "" {
		s.Camera.URL = "(left out)"
	}
	if u, err := url.Parse(s.Publish.Broker); err == nil && u.User != nil {
		u.User = nil
		s.Publish.Broker = u.String()
	}
	return s
}
