package crashfile

import (
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
)

// dies is set in the environment of the process that is to crash: the folder.
const dies = "BEAMHELM_CRASH_FOLDER"

// TestMain makes the test program crash when it is asked to.
func TestMain(m *testing.M) {
	if folder := os.Getenv(dies); folder != "" {
		if _, err := Open(folder); err != nil {
			panic(err)
		}
		debug.SetMaxStack(1 << 16)
		os.Exit(int(deeper(1)))
	}
	os.Exit(m.Run())
}

// deeper recurses until the stack overflows, which no goroutine can recover from. It never reaches 0; the condition
// keeps the compiler's checks content.
func deeper(depth uint64) uint64 {
	if depth == 0 {
		return 0
	}
	return depth + deeper(depth+1)
}

// What the runtime says at its end is told once, and kept beside for a report.
func TestACrashIsTold(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "state")
	crash := exec.Command(os.Args[0])
	crash.Env = append(os.Environ(), dies+"="+folder)
	if out, err := crash.CombinedOutput(); err == nil || !strings.Contains(string(out), "stack overflow") {
		t.Fatalf("%v: %.300s", err, out)
	}
	t.Cleanup(func() { _ = debug.SetCrashOutput(nil, debug.CrashOptions{}) })
	if last, err := Open(folder); err != nil || last != "the program crashed: stack overflow" {
		t.Errorf("%q, %v", last, err)
	}
	if text, err := os.ReadFile(filepath.Join(folder, Name+Older)); err != nil ||
		!strings.Contains(string(text), "goroutine ") {
		t.Errorf("%v: %.300s", err, text)
	}
	for range 2 {
		if last, err := Open(folder); err != nil || last != "" {
			t.Errorf("told again: %q, %v", last, err)
		}
	}
}

// What is no file of ours is left alone, and nothing waits for it.
func TestWhatIsNoFile(t *testing.T) {
	folder := t.TempDir()
	if err := os.Mkdir(filepath.Join(folder, Name), 0o700); err != nil {
		t.Fatal(err)
	}
	if last, err := Open(folder); err == nil || last != "" {
		t.Errorf("a folder: %q, %v", last, err)
	}
}

// The beginnings of what Go 1.26 wrote, addresses left out.
func TestReason(t *testing.T) {
	for _, row := range []struct{ text, want string }{
		{"", ""},
		{"\n\n", ""},
		{"\ngoroutine 1 gp=0x1 m=0 mp=0x2 [running]:\nruntime.throw({0x4c?, 0x8?})\n\t/go/panic.go:1 +0x4\n" +
			"runtime.(*mcache).allocLarge(0x4?, 0x1, 0x1)\n\t/go/mcache.go:2 +0x1\nruntime.mallocgcLarge(0x5, " +
			"0x4, 0x1)\n", noMemory},
		{"\ngoroutine 10 [running]:\ninternal/runtime/maps.fatal({0x4c?})\n\t/go/panic.go:1 " +
			"+0x18\nmain.main.func1()\n\t/x.go:4\n" +
			"\ngoroutine 11 [running]:\nruntime.mallocgc(0x1)\n", "the program crashed in main.main.func1()"},
		{"\nruntime stack:\nruntime.throw({0x1?})\n\t/go/panic.go:1\nruntime.sysMapOS(0x1)\n", noMemory},
		{"\ngoroutine 3 [running]:\nruntime.throw({0x1?})\n", "the program crashed in the runtime"},
		{"SIGSEGV:\n", "the program crashed"},
	} {
		if got := reason(strings.NewReader(row.text)); got != row.want {
			t.Errorf("%q: %q, want %q", row.text, got, row.want)
		}
	}
}
