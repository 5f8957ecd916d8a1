package publish

import "beamhelm/app/settings"

// FromSettings is the configuration that the operator has set, of a program of
// that version. Its Validate says what doesn't go together.
func FromSettings(s settings.Publish, version string) Config {
	return Config{
		MetricsPort: s.MetricsPort, MetricsHost: s.MetricsHost,
		Broker: s.Broker, Authority: s.CAFile, User: s.User, PasswordFile: s.PasswordFile,
		Topic: s.Topic, Version: version,
	}
}
