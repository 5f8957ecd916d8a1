package main

import (
	"bytes"
	"net"
	"os"
	"path/filepath"
	"testing"

	"github.com/creack/pty"
)

// Where a person or a program reads, no window says it again; a desktop's start has neither.
func TestWhoReads(t *testing.T) {
	open := func(f *os.File, err error) *os.File {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { f.Close() })
		return f
	}
	reader, writer, err := os.Pipe()
	open(reader, err)
	near, far, err := pty.Open()
	open(near, err)
	listener, err := net.ListenUnix("unix", &net.UnixAddr{Name: filepath.Join(t.TempDir(), "s"), Net: "unix"})
	if err != nil {
		t.Fatal(err)
	}
	defer listener.Close()
	for _, row := range []struct {
		name string
		file *os.File
		read bool
	}{
		{"a pipe", open(writer, nil), true},
		{"a terminal", open(far, nil), true},
		{"nothing", open(os.OpenFile(os.DevNull, os.O_WRONLY, 0)), false},
		{"a file", open(os.Create(filepath.Join(t.TempDir(), "session"))), false},
		{"a socket", open(listener.File()), false},
	} {
		if got := isRead(row.file); got != row.read {
			t.Errorf("%s: %v, want %v", row.name, got, row.read)
		}
	}
	if !isRead(&bytes.Buffer{}) {
		t.Error("a test reads what it is told")
	}
}
