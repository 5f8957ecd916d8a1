//go:build planted

package endtoend

import (
	"bytes"
	"compress/gzip"
	bigendian "encoding/binary"
	"fmt"
	"io"
	"net"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode"

	"beamhelm/app/settings"
)

// listen answers each connection on a port of this computer.
func listen(t *testing.T, answer func(net.Conn)) (address string) {
	t.Helper()
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			connection, err := listener.Accept()
			if err != nil {
				return
			}
			go func() {
				defer connection.Close()
				answer(connection)
			}()
		}
	}()
	return listener.Addr().String()
}

// forever sends a beginning, and then the same again and again, until nobody
// reads: 16 kB every 2 ms, which is what a network of 100 Mbit/s brings at most.
// Without that bound this test would take the computer from everybody.
func forever(beginning, again string) func(net.Conn) {
	block := []byte(strings.Repeat(again, 1+16<<10/max(1, len(again))))
	return func(c net.Conn) {
		_, err := io.WriteString(c, beginning)
		for err == nil {
			_, err = c.Write(block)
			time.Sleep(2 * time.Millisecond)
		}
	}
}

// asked is the same after a request was read.
func asked(answer func(net.Conn)) func(net.Conn) {
	return func(c net.Conn) {
		_, _ = c.Read(make([]byte, 4096))
		answer(c)
	}
}

// silent says nothing and keeps the connection.
func silent(c net.Conn) { _, _ = io.Copy(io.Discard, c) }

// slowly sends a byte every 100 ms.
func slowly(words string) func(net.Conn) {
	return func(c net.Conn) {
		for i := range words {
			if _, err := io.WriteString(c, words[i:i+1]); err != nil {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
	}
}

// says sends words and ends.
func says(words string) func(net.Conn) {
	return func(c net.Conn) { _, _ = io.WriteString(c, words) }
}

// turning are words that a terminal or a window would obey: colours, a bell, other directions of writing.
const turning = "\x1b[31m\a\u202egnorw\u202c\u2066\u2069\u009b2J"

// timeServer answers what NTP asks (RFC 5905, section 7.3) with what spoil makes of a proper answer.
func timeServer(t *testing.T, spoil func(answer []byte) []byte) (address string) {
	t.Helper()
	socket, err := net.ListenPacket("udp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { socket.Close() })
	go func() {
		question := make([]byte, 1024)
		for {
			n, from, err := socket.ReadFrom(question)
			if err != nil {
				return
			}
			answer := make([]byte, 48)
			answer[0], answer[1], answer[2], answer[3] = 4<<3|4, 2, 6, 0xec
			now := uint32(time.Now().Unix() + 2208988800) // seconds since 1900
			for _, at := range []int{16, 32, 40} {
				bigendian.BigEndian.PutUint32(answer[at:], now)
			}
			if n >= 48 {
				copy(answer[24:32], question[40:48])
			}
			if answer = spoil(answer); answer != nil {
				_, _ = socket.WriteTo(answer, from)
			}
		}
	}()
	return socket.LocalAddr().String()
}

// hostility is a server that does harm, or a client of ours.
type hostility struct {
	name string
	// change sets it up before the program is started; during attacks it in a slew.
	change func(*testing.T, *settings.Settings)
	during func(*testing.T, *unattended, settings.Settings)
}

func timeHostilities() (all []hostility) {
	for name, spoil := range map[string]func([]byte) []byte{
		"1900": func(a []byte) []byte {
			copy(a[32:], make([]byte, 16))
			a[35], a[43] = 9,
				9
			return a
		},
		"137 years on":                      func(a []byte) []byte { a[32] ^= 0x80; a[40] ^= 0x80; return a },
		"a kiss code":                       func(a []byte) []byte { a[1] = 0; copy(a[12:], "RATE"); return a },
		"a kiss code that a terminal obeys": func(a []byte) []byte { a[1] = 0; copy(a[12:], "\x1b[2J"); return a },
		"12 bytes":                          func(a []byte) []byte { return a[:12] },
		"60 kB":                             func(a []byte) []byte { return append(a, make([]byte, 60000)...) },
		"another origin":                    func(a []byte) []byte { a[24] ^= 1; return a },
		"silence":                           func([]byte) []byte { return nil },
	} {
		all = append(all, hostility{name: "time server, " + name, change: func(t *testing.T, s *settings.Settings) {
			s.Clock.TimeSource = timeServer(t, spoil)
		}})
	}
	return all
}

func brokerHostilities() (all []hostility) {
	const connected = "\x20\x03\x00\x00\x00"                           // CONNACK, MQTT 5, section 3.2
	reason := "\x1f" + string([]byte{0, byte(len(turning))}) + turning // the property Reason String, section 3.2.2.3.9
	refused := string([]byte{0x20, byte(3 + len(reason)), 0, 0x87, byte(len(reason))}) + reason
	for name, answer := range map[string]func(net.Conn){
		"256 MB announced":                       forever("\x20\xff\xff\xff\x7f", "x"),
		"silence":                                silent,
		"endless after good":                     asked(forever(connected, "\x30\x02\x00\x00")),
		"refused in words that a terminal obeys": asked(says(refused)),
		"hangs up":                               func(net.Conn) {},
		"a byte at a time":                       asked(slowly(strings.Repeat(connected, 100))),
	} {
		all = append(all, hostility{name: "broker, " + name, change: func(t *testing.T, s *settings.Settings) {
			s.Publish.Broker = "mqtt://" + listen(t, answer)
		}})
	}
	return all
}

func cameraHostilities() (all []hostility) {
	const stream = "HTTP/1.0 200 OK\r\nContent-Type: multipart/x-mixed-replace; boundary=b\r\n\r\n--b\r\n"
	var bomb bytes.Buffer
	packed := gzip.NewWriter(&bomb)
	for range 64 {
		_, _ = packed.Write(make([]byte, 1<<20))
	}
	packed.Close()
	for name, answer := range map[string]func(net.Conn){
		"endless picture": asked(forever("HTTP/1.0 200 OK\r\nContent-Type: image/jpeg\r\n\r\n\xff\xd8",
			"\xff\xe0\xff\xff")),
		"endless headers":             asked(forever("HTTP/1.0 200 OK\r\n", "X: y\r\n")),
		"endless header":              asked(forever("HTTP/1.0 200 OK\r\nX: ", "y")),
		"endless part headers":        asked(forever(stream, "X: y\r\n")),
		"endless empty parts":         asked(forever(stream, "\r\n\r\n--b\r\n")),
		"sent on endlessly":           asked(says("HTTP/1.0 302 Found\r\nLocation: /again\r\n\r\n")),
		"sent on to a file":           asked(says("HTTP/1.0 302 Found\r\nLocation: file:///etc/passwd\r\n\r\n")),
		"a byte at a time":            asked(slowly(stream + strings.Repeat("x", 1000))),
		"silence":                     silent,
		"words that a terminal obeys": asked(says("HTTP/1.0 500 " + turning + "\r\n\r\n")),
		"packed 64 MB": asked(
			says("HTTP/1.0 200 OK\r\nContent-Type: image/jpeg\r\nContent-Encoding: gzip\r\n\r\n" + bomb.String())),
		"no HTTP": asked(says(turning)),
	} {
		all = append(all, hostility{name: "camera, " + name, change: func(t *testing.T, s *settings.Settings) {
			s.Camera.URL, s.Camera.IntervalS = "http://"+listen(t, answer)+"/", 1
		}})
	}
	return all
}

func meterHostilities() (all []hostility) {
	for name, answer := range map[string]func(net.Conn){
		"endless line":  asked(forever("", "9")),
		"endless lines": asked(forever("", "-50.0\n")),
		"silence":       silent,
		"no figures":    asked(forever("", "NaN\n1e400\n-Inf\n"+turning+"\n")),
	} {
		all = append(all, hostility{name: "meter, " + name, change: func(t *testing.T, s *settings.Settings) {
			s.Meter.Source, s.Meter.Port, s.Meter.Query, s.Meter.IntervalMS = settings.FromInstrument, listen(t,
				answer), "READ?", 100
		}})
	}
	return all
}

// freePort is a port of this computer that nobody uses.
func freePort(t *testing.T) int {
	t.Helper()
	free, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer free.Close()
	return free.Addr().(*net.TCPAddr).Port
}

func clientHostilities() (all []hostility) {
	publishing := func(t *testing.T, s *settings.Settings) { s.Publish.MetricsPort = freePort(t) }
	crowd := func(many int, words string, endless bool) func(*testing.T, *unattended, settings.Settings) {
		return func(t *testing.T, _ *unattended, s settings.Settings) {
			crowdOf(t, "tcp", "127.0.0.1:"+strconv.Itoa(s.Publish.MetricsPort), many, words, endless)
		}
	}
	return []hostility{
		{name: "clients, 200 idle", change: publishing, during: crowd(200, "", false)},
		{name: "clients, 200 with half a header", change: publishing,
			during: crowd(200, "GET /metrics HTTP/1.1\r\nHost: x\r\nX", false)},
		{name: "clients, endless headers", change: publishing,
			during: crowd(4, "GET /metrics HTTP/1.1\r\nX: y\r\n", true)},
		{name: "clients, endless body", change: publishing,
			during: crowd(4, "POST /metrics HTTP/1.1\r\nHost: x\r\nContent-Length: 99999999999\r\n\r\n", true)},
		{name: "callers of the stop line, 50 idle", change: func(*testing.T, *settings.Settings) {},
			during: stopCrowd("")},
		{name: "callers of the stop line, 50 that ask for something else",
			change: func(*testing.T, *settings.Settings) {},
			during: stopCrowd("slew 1 2\n" + turning)},
	}
}

func stopCrowd(words string) func(*testing.T, *unattended, settings.Settings) {
	return func(t *testing.T, u *unattended, _ settings.Settings) {
		sockets, err := filepath.Glob(filepath.Join(u.home(), "run/beamhelm/stop-*.socket"))
		if err != nil || len(sockets) != 1 {
			t.Fatalf("sockets %v, %v", sockets, err)
		}
		crowdOf(t, "unix", sockets[0], 50, words, false)
	}
}

// home is the folder that the program takes for its user's.
func (u *unattended) home() string {
	for _, variable := range u.Env {
		if rest, is := strings.CutPrefix(variable, "XDG_RUNTIME_DIR="); is && strings.HasSuffix(rest, "/run") {
			return filepath.Dir(rest)
		}
	}
	return ""
}

// crowdOf opens many connections that say something, once or again and again, until the test ends.
func crowdOf(t *testing.T, network, address string, many int, words string, endless bool) {
	t.Helper()
	for range many {
		connection, err := net.DialTimeout(network, address, 2*time.Second)
		if err != nil {
			continue // there is no more room: what is there is crowd enough
		}
		t.Cleanup(func() { connection.Close() })
		go func() {
			if endless {
				forever(words, "X: y\r\n")(connection)
				return
			}
			_, _ = io.WriteString(connection, words)
		}()
	}
}

func networkAttacks() attacks {
	all := attacks{
		short: "network", kind: "hostile time servers, brokers, cameras and meters on loopback; crowds of idle, slow " +
			"and endless clients of the metrics and of the stop line",
		holds: "the slew goes on undisturbed; no more than 400 MiB; Stop works; SIGTERM ends it within 1 s; no " +
			"character that a terminal obeys is told",
	}
	var every []hostility
	for _, some := range [][]hostility{timeHostilities(), brokerHostilities(), cameraHostilities(), meterHostilities(),
		clientHostilities()} {
		every = append(every, some...)
	}
	for _, h := range every {
		all.rows = append(all.rows, attack{name: h.name, try: func(t *testing.T) { surviveNetwork(t, h) }})
	}
	all.rows = append(all.rows,
		attack{name: "all at once", short: true, try: func(t *testing.T) { surviveNetwork(t, together(every)) }})
	return all
}

// together is one of each kind of server and all clients.
func together(every []hostility) hostility {
	return hostility{
		name: "all at once",
		change: func(t *testing.T, s *settings.Settings) {
			for _, h := range every {
				h.change(t, s)
			}
		},
		during: func(t *testing.T, u *unattended, s settings.Settings) {
			for _, h := range every {
				if h.during != nil {
					h.during(t, u, s)
				}
			}
		},
	}
}

func surviveNetwork(t *testing.T, h hostility) {
	home := privateFolder(t)
	var chosen settings.Settings
	u, e, _ := openAttacked(t, home, atFullSlew, func(s *settings.Settings) {
		if chosen.Version == 0 {
			h.change(t, s)
			chosen = *s
			return
		}
		s.Clock, s.Publish, s.Camera, s.Meter = chosen.Clock, chosen.Publish, chosen.Camera, chosen.Meter
	})
	at := time.Now()
	if h.during != nil {
		h.during(t, u, chosen)
	}
	e.stays(t, at, 6*time.Second, func(l truthLine) bool { return l.driven() && l.power })
	if t.Failed() {
		t.Logf("%+v", u.status())
	}
	u.memory(t)
	for _, words := range append(u.status().Alarms, u.output.String()) {
		if at := strings.IndexFunc(words, obeyed); at >= 0 {
			t.Errorf("a character that is obeyed is told: %q", words)
		}
	}
	if strings.HasPrefix(h.name, "callers") || h.name == "all at once" {
		ordered := time.Now()
		u.order("stop")
		e.lasting(ordered, 3*time.Second, "no demand", func(l truthLine) bool { return !l.driven() })
	} else {
		u.stops(e)
	}
	ended := time.Now()
	u.send(syscall.SIGTERM)
	if status := u.code(t, 10*time.Second); status != 0 && status != 128+int(syscall.SIGTERM) {
		t.Errorf("it ended with status %d: %s", status, u.output.String())
	}
	if took, busy := time.Since(ended), e.longestSilence(ended, time.Now()); took > time.Second+busy {
		t.Errorf("the end took %v", took)
	}
}

// obeyed says that a terminal or a window would do something at a character instead of showing it.
func obeyed(r rune) bool {
	return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r))
}

var peakMemory = regexp.MustCompile(`VmHWM:\s*(\d+) kB`)

// memory wants the program's largest share of memory within bounds.
func (u *unattended) memory(t *testing.T) {
	t.Helper()
	text, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", u.Process.Pid))
	if err != nil {
		t.Fatal(err)
	}
	said := peakMemory.FindSubmatch(text)
	if said == nil {
		t.Fatalf("%s", text)
	}
	kB, err := strconv.Atoi(string(said[1]))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("at most %d MiB", kB>>10)
	if kB<<10 > maxMemory {
		t.Errorf("%d MiB", kB>>10)
	}
}
