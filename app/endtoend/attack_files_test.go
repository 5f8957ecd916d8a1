//go:build planted

package endtoend

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/app/settings"
	"beamhelm/app/settings/kept"
)

// storeOf is where a program with this home keeps what belongs to a file of settings.
func storeOf(t *testing.T, home, file string) string {
	t.Helper()
	store, err := kept.UsualStore(settings.Source{Path: file})
	if err != nil {
		t.Fatal(err)
	}
	return filepath.Join(home, "state/beamhelm/other", filepath.Base(store.Folder))
}

// inPlace puts something that is no proper file at a path.
type inPlace struct {
	name string
	put  func(path string) error
}

func inPlaces() []inPlace {
	return []inPlace{
		{"a pipe", func(path string) error { return syscall.Mkfifo(path, 0o600) }},
		{"a folder", func(path string) error { return os.Mkdir(path, 0o700) }},
		{"an endless device", func(path string) error { return os.Symlink("/dev/zero", path) }},
		{"a link to itself", func(path string) error { return os.Symlink(filepath.Base(path), path) }},
		{"100 MB", func(path string) error {
			return errors.Join(os.WriteFile(path, []byte("{"), 0o600), os.Truncate(path, 100<<20))
		}},
		{"noise", func(path string) error {
			return os.WriteFile(path, bytes.Repeat([]byte{0x9B, 0, 0xFF, '"'}, 1<<16), 0o600)
		}},
		{"nothing in it", func(path string) error { return os.WriteFile(path, nil, 0o600) }},
	}
}

// fileAttacks put pipes, folders, devices and far too much where files are expected.
func fileAttacks() attacks {
	all := attacks{
		short: "files", kind: "a pipe, a folder, an endless device, a link to itself, 100 MB, noise or nothing in " +
			"place of settings, kept files, records and what commands read",
		holds: "settings: ends with status 1 and says why; the rest: starts, and tells it; commands end within 10 s " +
			"with a line; nothing waits, no more than 400 MiB",
	}
	for _, thing := range inPlaces() {
		pipe := thing.name == "a pipe"
		all.rows = append(all.rows,
			attack{name: thing.name + " for settings", short: true,
				try: func(t *testing.T) { settingsInPlace(t, thing) }},
			attack{name: thing.name + " for kept files", short: pipe, tries: len(keptNames),
				try: func(t *testing.T) { keptInPlace(t, thing) }},
			attack{name: thing.name + " for records", short: pipe,
				try: func(t *testing.T) { recordsInPlace(t, thing) }},
			attack{name: thing.name + " for commands", tries: len(readingCommands("")),
				try: func(t *testing.T) { commandsInPlace(t, thing) }},
		)
	}
	return all
}

func settingsInPlace(t *testing.T, thing inPlace) {
	home := privateFolder(t)
	file := filepath.Join(home, "settings.toml")
	if err := thing.put(file); err != nil {
		t.Fatal(err)
	}
	for _, arguments := range [][]string{{"-settings", file}, {"settings", "check", file}} {
		p := start(t, home, arguments...)
		judgeRefusal(t, p, arguments)
	}
}

// maxMemory is the most that a program takes that is given too much to read, bytes.
const maxMemory = 400 << 20

// judgeRefusal wants a status that tells of a failure, and why in a few lines.
func judgeRefusal(t *testing.T, p *process, arguments []string) {
	t.Helper()
	status := p.code(t, 20*time.Second)
	said := p.output.String()
	if status != 1 && status != 2 || said == "" || strings.Count(said, "\n") > 30 || strings.Contains(said, "panic") ||
		strings.Contains(said, "goroutine ") {
		t.Errorf("beamhelm %s: status %d, said %.2000s", strings.Join(arguments, " "), status, said)
	}
	if used := p.ProcessState.SysUsage().(*syscall.Rusage).Maxrss << 10; used > maxMemory {
		t.Errorf("beamhelm %s: %d MiB", strings.Join(arguments, " "), used>>20)
	}
}

// keptNames are what a session reads at its start.
var keptNames = []string{"references", "learned", "trims", "radio", "survey", "receiver", "hearing", "usual", "window",
	"commissioning", "last-session"}

func keptInPlace(t *testing.T, thing inPlace) {
	home := privateFolder(t)
	store := storeOf(t, home, filepath.Join(home, "settings.toml"))
	if err := os.MkdirAll(store, 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range keptNames {
		if err := thing.put(filepath.Join(store, name+".json")); err != nil {
			t.Fatal(err)
		}
	}
	u, _, _ := openAttacked(t, home, atRest)
	for _, name := range keptNames {
		if name != "window" && !strings.Contains(u.output.String(), "kept "+name) {
			t.Errorf("it doesn't tell of %s: %s", name, u.output.String())
		}
	}
	// What the last session left can't be known: that ends the reference.
	if s := u.status(); !s.Locked {
		t.Errorf("not locked out: %+v", s)
	}
	u.endsInOrder()
}

func recordsInPlace(t *testing.T, thing inPlace) {
	home := privateFolder(t)
	store := storeOf(t, home, filepath.Join(home, "settings.toml"))
	if err := os.MkdirAll(store, 0o700); err != nil {
		t.Fatal(err)
	}
	if err := thing.put(filepath.Join(store, journal.FileName)); err != nil {
		t.Fatal(err)
	}
	u, e, _ := openAttacked(t, home, atFullSlew)
	if thing.name == "a folder" || thing.name == "a link to itself" {
		u.awaitStatus(20*time.Second, "a word about the records", func(s status) bool { return s.says("ecord") })
	}
	u.stops(e)
	u.endsInOrder()
}

// readingCommands are commands that read a file.
func readingCommands(file string) [][]string {
	return [][]string{
		{"records", "list", "-file", file}, {"records", "check", "-file", file},
		{"records", "export", "-file", file, "events"},
		{"place", "-batch", file}, {"passes", "-batch", file}, {"echo", "-batch", file}, {"budget", "-batch", file},
		{"echotest", "-wav", file, "-plan", file}, {"rehearse", file}, {"rehearse", "-settings", file, "a-night"},
		{"replica", "-settings", file}, {"link", "test", "-settings", file}, {"link", "test", "-port", file, "-yes"},
		{"settings", "show", "-settings", file}, {"enclosure", "write", "-port", file},
		{"enclosure", "verify", "-port", file, "-station", file},
	}
}

func commandsInPlace(t *testing.T, thing inPlace) {
	home := privateFolder(t)
	file := filepath.Join(home, "file")
	if err := thing.put(file); err != nil {
		t.Fatal(err)
	}
	for _, arguments := range readingCommands(file) {
		judgeRefusal(t, start(t, home, arguments...), arguments)
	}
}

// diskAttacks take room and rights from the program.
func diskAttacks() attacks {
	return attacks{
		short: "disk", kind: "a disk that fills up in a slew, was full at the start, is or becomes read-only; no " +
			"home; a limit of file size; no descriptors left",
		holds: "the dish obeys as before and Stop works; it is reported within 20 s; with room again it records on; " +
			"the records are whole",
		rows: []attack{
			{name: "fills up", short: true, try: func(t *testing.T) { diskTrouble(t, fillUp) }},
			{name: "becomes read-only", try: func(t *testing.T) { diskTrouble(t, becomeReadOnly) }},
			{name: "limit of file size", try: func(t *testing.T) { diskTrouble(t, limitFiles) }},
			{name: "full at the start", try: func(t *testing.T) { troubledStart(t, fillUp) }},
			{name: "read-only at the start", try: func(t *testing.T) { troubledStart(t, becomeReadOnly) }},
			{name: "no home", try: noHome},
			{name: "no descriptors", short: true, try: noDescriptors},
			{name: "few descriptors at the start", tries: len(fewDescriptors), try: startWithFewDescriptors},
			{name: "a file for the stop line's folder", try: stopLineInPlace},
		},
	}
}

// diskFault makes the disk at a folder bad for a program, if there is one yet,
// and returns what makes it good again.
type diskFault func(t *testing.T, u *unattended, folder string) (mend func())

func fillUp(t *testing.T, _ *unattended, folder string) func() { return fillDisk(t, folder) }

func becomeReadOnly(t *testing.T, _ *unattended, folder string) func() {
	t.Helper()
	remount := func(flags uintptr) error {
		return syscall.Mount("small", folder, "tmpfs", syscall.MS_REMOUNT|flags, "size=6m,mode=700")
	}
	if err := remount(syscall.MS_RDONLY); err == nil {
		return func() {
			if err := remount(0); err != nil {
				t.Error(err)
			}
		}
	}
	// Files that are open for writing keep a disk from that: take the rights instead, which bind all but root.
	if os.Getuid() == 0 {
		limitless := fillUp(t, nil, folder)
		return limitless
	}
	if err := os.Chmod(folder, 0o500); err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := os.Chmod(folder, 0o700); err != nil {
			t.Error(err)
		}
	}
}

// limitFiles lets the program write no byte into any file.
func limitFiles(t *testing.T, u *unattended, _ string) func() {
	return u.limit(t, unix.RLIMIT_FSIZE, 0)
}

// limit gives the running program less of something, and returns what gives it back.
func (u *unattended) limit(t *testing.T, what int, to uint64) (back func()) {
	t.Helper()
	var before unix.Rlimit
	if err := unix.Prlimit(u.Process.Pid, what, nil, &before); err != nil {
		t.Fatal(err)
	}
	if err := unix.Prlimit(u.Process.Pid, what, &unix.Rlimit{Cur: to, Max: before.Max}, nil); err != nil {
		t.Fatal(err)
	}
	return func() {
		if err := unix.Prlimit(u.Process.Pid, what, &before, nil); err != nil {
			t.Error(err)
		}
	}
}

func diskTrouble(t *testing.T, fault diskFault) {
	home := privateFolder(t)
	disk := filepath.Join(home, "state")
	if !smallDisk(t, disk) {
		fault = limitFiles
	}
	u, e, _ := openAttacked(t, home, atFullSlew)
	at := time.Now()
	mend := fault(t, u, disk)
	u.awaitStatus(20*time.Second, "a word about the disk",
		func(s status) bool { return s.says("ecord") || s.says("can't be written") })
	e.stays(t, at, time.Second, func(l truthLine) bool { return l.driven() && l.power })
	u.stops(e)
	mend()
	u.awaitStatus(30*time.Second, "a good disk",
		func(s status) bool { return !s.says("ecord") && !s.says("can't be written") })
	u.endsInOrder()
	u.recordsWhole(home)
}

// recordsWhole has the program read all that it recorded.
func (u *unattended) recordsWhole(home string) {
	u.t.Helper()
	check := start(u.t, home, "records", "check", "-settings", filepath.Join(home, "settings.toml"))
	if status := check.code(u.t, 30*time.Second); status != 0 {
		u.t.Errorf("records check: status %d: %s", status, check.output.String())
	}
}

func troubledStart(t *testing.T, fault diskFault) {
	home := privateFolder(t)
	disk := filepath.Join(home, "state")
	if smallDisk(t, disk) {
		defer fault(t, nil, disk)()
	} else if err := os.Chmod(disk, 0o500); err != nil {
		t.Fatal(err)
	}
	u, e, _ := openAttacked(t, home, atFullSlew)
	u.awaitStatus(20*time.Second, "a word about the disk",
		func(s status) bool { return s.says("ecord") || s.says("can't be written") })
	u.stops(e)
	u.endsInOrder()
}

// noHome: where nothing says whose files are whose, and nothing can be kept.
func noHome(t *testing.T) {
	u, e, _ := openAttackedWith(t, privateFolder(t), atFullSlew, func(c *exec.Cmd) {
		// Not the temporary folder of this computer: whoever stops a dish meanwhile would stop this one, too.
		nowhere := []string{"TMPDIR=" + privateFolder(t), "HOME=/nonexistent", "XDG_CONFIG_HOME=/nonexistent/a",
			"XDG_STATE_HOME=/proc/nonexistent", "XDG_DATA_HOME=", "XDG_CACHE_HOME=", "XDG_RUNTIME_DIR=/nonexistent"}
		c.Env = append(c.Env, nowhere...)
	})
	u.awaitStatus(20*time.Second, "a word about the records", func(s status) bool { return s.says("ecord") })
	at := time.Now()
	u.order("stop")
	e.lasting(at, 2*time.Second, "rest", func(l truthLine) bool { return !l.driven() })
	u.endsInOrder()
}

// noDescriptors: no file, no connection can be opened any more.
func noDescriptors(t *testing.T) {
	u, e, _ := openAttacked(t, privateFolder(t), atFullSlew)
	at := time.Now()
	back := u.limit(t, unix.RLIMIT_NOFILE, 3)
	asked := exec.Command(binary, "stop")
	asked.Env = u.Env
	if err := asked.Start(); err != nil {
		t.Fatal(err)
	}
	u.awaitStatus(10*time.Second, "a word about the stop line", func(s status) bool { return s.says("beamhelm stop") })
	e.stays(t, at, 2*time.Second, func(l truthLine) bool { return l.power })
	ordered := time.Now()
	u.order("stop") // by hand, as Esc does
	took := e.lasting(ordered, 3*time.Second, "no demand", func(l truthLine) bool { return !l.driven() })
	if busy := e.longestSilence(ordered, time.Now()); took > 500*time.Millisecond+busy {
		t.Errorf("demand for %v", took)
	}
	back()
	_ = asked.Wait() // it was told then, or gave up: stopFromOutside wants it done
	u.awaitStatus(20*time.Second, "a stop line", func(s status) bool { return !s.says("beamhelm stop") })
	u.stops(e)
	u.endsInOrder()
}

// fewDescriptors are limits at the start.
var fewDescriptors = []int{4, 8, 10, 12, 16}

// startWithFewDescriptors: it either works, or ends and says why; nothing in between.
func startWithFewDescriptors(t *testing.T) {
	for _, few := range fewDescriptors {
		home := privateFolder(t)
		write := writeSettings(t, home, station{30, 0})
		e := openEnclosure(t, home, "-settings", write(""))
		u := openUnattended(t, home, write(e.link), func(c *exec.Cmd) {
			c.Args = append([]string{"sh", "-c", fmt.Sprintf(`ulimit -n %d; exec "$@"`, few), "sh"},
				append([]string{binary}, c.Args[1:]...)...)
			c.Path = "/bin/sh"
		})
		until := time.Now().Add(8 * time.Second)
		for time.Now().Before(until) && u.running() {
			if s, _ := u.tryStatus(); s.Link == desk.LinkGood {
				break
			}
		}
		if !u.running() {
			if said := u.output.String(); strings.Contains(said, "goroutine ") &&
				!strings.Contains(said, "too many open files") {
				t.Errorf("with %d descriptors: %s", few, said)
			}
			continue
		}
		u.endsInOrder()
	}
}

func stopLineInPlace(t *testing.T) {
	home := privateFolder(t)
	if err := os.Mkdir(filepath.Join(home, "run"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(home, "run/beamhelm"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	// The temporary folder is the next: the caller looks there, too.
	u, e, _ := openAttackedWith(t, home, atFullSlew,
		func(c *exec.Cmd) { c.Env = append(c.Env, "TMPDIR="+privateFolder(t)) })
	stop := exec.Command(binary, "stop")
	stop.Env = u.Env
	// Status 5: the dish stands, but what lies in place of a folder can't be trusted.
	out, err := stop.CombinedOutput()
	if !strings.Contains(string(out), "stopped, confirmed") || !strings.Contains(string(out), "is no folder") ||
		stop.ProcessState.ExitCode() != 5 {
		t.Errorf("beamhelm stop: %v, said %s", err, out)
	}
	e.until(time.Second, "rest", standing)
	u.endsInOrder()
}
