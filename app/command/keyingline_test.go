package command

import (
	"strings"
	"testing"
)

func TestKeyingLineTakesAWholeOrder(t *testing.T) {
	for _, args := range [][]string{
		{}, {"-port", "/dev/x"}, {"-port", "/dev/x", "-limit", "6"}, {"-port", "/dev/x", "-limit", "NaN"},
		{"-port", "/dev/x", "-limit", "1", "-line", "cts"}, {"-limit", "1"}, {"-port", "/dev/x", "-limit", "1", "more"},
	} {
		var out, wrong strings.Builder
		if status := KeyingLine(args, strings.NewReader(""), &out, &wrong); status != 2 || wrong.Len() == 0 {
			t.Errorf("%q: status %d, %q", args, status, wrong.String())
		}
	}
	var out, wrong strings.Builder
	status := KeyingLine([]string{"-port", t.TempDir() + "/none", "-limit", "1"}, strings.NewReader(""), &out, &wrong)
	if status != 1 || !strings.HasPrefix(out.String(), "!") {
		t.Errorf("no port: status %d, told %q", status, out.String())
	}
}
