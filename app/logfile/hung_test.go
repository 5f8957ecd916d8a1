//go:build linux

package logfile

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"beamhelm/app/faultydisk"
)

// TestHungDisk: a disk that doesn't answer keeps nobody who logs, nor a flush beyond its time.
func TestHungDisk(t *testing.T) {
	disk := faultydisk.Mount(t)
	f := New(filepath.Join(disk.Folder, Name))
	disk.Hang()
	ctx, cancel := context.WithCancel(t.Context())
	go f.Run(ctx)
	log := f.Logger()
	began := time.Now()
	for range 4 * maxWaiting {
		log.Info("nobody writes")
	}
	f.Flush(10 * time.Millisecond)
	if took := time.Since(began); took > 10*time.Second || f.dropped.Load() < 2*maxWaiting {
		t.Errorf("%v, %d dropped", took, f.dropped.Load())
	}
	disk.Answer()
	f.Flush(time.Minute)
	log.Info("goes on")
	cancel()
	<-f.ended
	if text := read(t, f.path); !strings.Contains(text, "log lines dropped") || !strings.Contains(text, "goes on") {
		t.Errorf("%.300s", text)
	}
}
