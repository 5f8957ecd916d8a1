//go:build cgo

package soundcard

import (
	"net"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// serverAnswers reports whether a PulseAudio server, or one that speaks like it, takes a connection. The library
// leaves a file open each time that it finds none, and would be asked every two seconds.
func serverAnswers() bool {
	for _, address := range serverAddresses() {
		network := "unix"
		if !strings.HasPrefix(address, "/") {
			network = "tcp"
		}
		if c, err := net.DialTimeout(network, address, time.Second); err == nil {
			c.Close()
			return true
		}
	}
	return false
}

// serverAddresses are where a server is looked for: as the sound system's own library does, by its documentation
// (pulse-client.conf(5), pulseaudio(1)).
func serverAddresses() (all []string) {
	if servers := os.Getenv("PULSE_SERVER"); servers != "" {
		for _, server := range strings.Fields(servers) {
			if at := strings.LastIndex(server, "}"); at >= 0 {
				server = server[at+1:] // of one computer alone
			}
			server = strings.TrimPrefix(server, "unix:")
			if !strings.HasPrefix(server, "/") {
				for _, kind := range []string{"tcp4:", "tcp6:", "tcp:"} {
					server = strings.TrimPrefix(server, kind)
				}
				if _, _, err := net.SplitHostPort(server); err != nil {
					server = net.JoinHostPort(strings.Trim(server, "[]"), "4713")
				}
			}
			all = append(all, server)
		}
		return all
	}
	for _, folder := range []string{
		os.Getenv("PULSE_RUNTIME_PATH"), filepath.Join(os.Getenv("XDG_RUNTIME_DIR"), "pulse"),
		"/run/user/" + strconv.Itoa(os.Getuid()) + "/pulse", "/var/run/pulse",
	} {
		if filepath.IsAbs(folder) {
			all = append(all, filepath.Join(folder, "native"))
		}
	}
	if home, err := os.UserHomeDir(); err == nil {
		found, _ := filepath.Glob(filepath.Join(home, ".config/pulse/*-runtime/native"))
		all = append(all, found...)
	}
	return all
}
