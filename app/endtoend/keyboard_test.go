//go:build window

package endtoend

import (
	"fmt"
	"io"
	"os/exec"
	"testing"
	"time"
)

// keyboard is an xdotool that waits for orders, so that a key is down within a
// millisecond or two of asking.
type keyboard struct{ orders io.WriteCloser }

func openKeyboard(t *testing.T) keyboard {
	t.Helper()
	tool := exec.Command("xdotool", "-")
	orders, err := tool.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := tool.Start(); err != nil {
		t.Fatalf("starting xdotool: %v", err)
	}
	t.Cleanup(func() {
		orders.Close()
		if err := tool.Wait(); err != nil {
			t.Errorf("xdotool, taking keys: %v", err)
		}
	})
	return keyboard{orders}
}

// press presses and releases a key and returns the moment just before.
func (k keyboard) press(t *testing.T, key string) time.Time {
	t.Helper()
	moment := time.Now()
	if _, err := fmt.Fprintln(k.orders, "key", key); err != nil {
		t.Fatalf("pressing %s: %v", key, err)
	}
	return moment
}
