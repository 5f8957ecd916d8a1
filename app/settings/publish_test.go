package settings

import (
	"strings"
	"testing"
)

func TestPublishIsOffUntilSetAndComesBack(t *testing.T) {
	if s := Default(); s.Publish != (Publish{}) {
		t.Errorf("usually %+v is published", s.Publish)
	}
	s := Practice()
	s.Publish = Publish{MetricsPort: 9464, Broker: "mqtts://club.example:8883", User: "north",
		PasswordFile: "/etc/secret", Topic: "club/north"}
	file := t.TempDir() + "/settings.toml"
	if err := Write(file, s); err != nil {
		t.Fatal(err)
	}
	back, _, err := LoadNamed(file)
	if err != nil || back.Publish != s.Publish {
		t.Errorf("%+v came back, %v", back.Publish, err)
	}
	s.Publish.MetricsPort = 70000
	if err := Write(file, s); err == nil || !strings.Contains(err.Error(), "publish.metrics_port") {
		t.Errorf("a port that can't be: %v", err)
	}
}
