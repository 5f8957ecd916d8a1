//go:build planted

package endtoend

import (
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/settings"
)

// TestLog: a session leaves in its log what it takes to understand it, without
// any secret, and a report has it.
func TestLog(t *testing.T) {
	home := t.TempDir()
	password := filepath.Join(home, "password")
	if err := os.WriteFile(password, []byte("broker-secret\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	asked := make(chan string, 100)
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		select {
		case asked <- r.URL.RawQuery:
		default:
		}
		http.Error(w, "camera-secret is not welcome", http.StatusForbidden)
	}))
	defer server.Close()
	write := writeSettings(t, home, station{30, 0}, everything(t), func(s *settings.Settings) {
		s.Camera.URL = strings.Replace(server.URL, "://", "://me:camera-secret@", 1) + "/?token=camera-secret"
		s.Publish.User, s.Publish.PasswordFile = "dish", password
	})
	e := openEnclosure(t, home, "-settings", write(""))
	file := write(e.link)
	u := openUnattended(t, home, file, nil)
	t.Cleanup(func() {
		if t.Failed() {
			t.Log(readLog(t, home+"/state"))
		}
	})
	u.slew(e)
	u.order("hold")
	e.until(20*time.Second, "a hold", func(l truthLine) bool { return !l.driven() })
	if query := <-asked; query != "token=camera-secret" {
		t.Errorf("the camera was asked with %q", query)
	}
	for end := time.Now().Add(20 * time.Second); !strings.Contains(readLog(t, home+"/state"), "what=camera"); {
		if time.Now().After(end) {
			t.Fatal("the camera's trouble is not logged")
		}
		e.until(time.Second, "the next line", func(truthLine) bool { return true })
	}
	u.hands.Close()
	if status := u.code(t, 20*time.Second); status != 0 {
		t.Errorf("status %d", status)
	}
	log := readLog(t, home+"/state")
	for _, has := range []string{
		"msg=start version=", "settings_sha256=", file, "msg=order kind=SlewTo", "msg=order kind=Power",
		"msg=mode is=Slewing", "msg=link is=LinkGood",
		"msg=event words=", "msg=trouble what=camera", "msg=trouble what=publish", "msg=end ", "msg=ended",
	} {
		if !strings.Contains(log, has) {
			t.Errorf("the log has no %q", has)
		}
	}
	if strings.Contains(log, "secret") {
		t.Error("a secret is in the log")
	}
	report := exec.Command(binary, "report", "-settings", file, filepath.Join(home, "report.zip"))
	report.Env = u.Env
	if out, err := report.CombinedOutput(); err != nil || !strings.Contains(string(out), "log.txt") {
		t.Errorf("%v: %s", err, out)
	}
}
